import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { hasCycle } from 'graphology-dag';
import loadHighs from 'highs';
import { describe, expect, test } from 'vitest';
import { isMetric, modelOf } from '../src/sequence/model.ts';
import { greedy, type SequenceProblem, type SequenceResult, sequence, validate } from '../src/sequence/sequence.ts';
import { rulebookShaped, workshop } from './bench/families.ts';
import { asMilp } from './sequence.milp.ts';
import { bruteForce } from './sequence.oracle.ts';

const names = ['aim', 'bleed', 'charge', 'drive', 'erase', 'fill', 'grease', 'heat'];
const values = ['low', 'mid', 'top'];

/** Small problems of every kind: any costs (asymmetric, with detours cheaper than the straight way), forbidden pairs, becomes. */
function problems(most: number): fc.Arbitrary<SequenceProblem> {
  return fc.integer({ min: 1, max: 3 }).chain((count) => {
    const dimensions = ['p', 'q', 'r'].slice(0, count);
    const value = fc.constantFrom(...values);
    const some = (freq: number) =>
      fc.tuple(...dimensions.map(() => fc.option(value, { freq }))).map((picked) => {
        const pairs = picked.flatMap((each, at) => (each === null ? [] : [[dimensions[at]!, each] as const]));
        return Object.fromEntries(pairs) as Record<string, string>;
      });
    // Few values, far apart: so ties are common, and so are detours cheaper than the straight way.
    const minutes = fc.constantFrom(0, 1, 2, 9);
    const row = fc.oneof(fc.dictionary(value, minutes), fc.record({ low: minutes, mid: minutes, top: minutes }));
    const table = fc.record({
      minutes: fc.oneof(fc.dictionary(value, row), fc.record({ low: row, mid: row, top: row })),
      otherwise: fc.constantFrom(1, 4),
    });
    const step = fc.record({
      minutes: fc.integer({ min: 0, max: 60 }),
      setup: some(2),
      becomes: fc.option(some(2), { freq: 2 }),
    });
    return fc
      .record({
        steps: fc
          .array(step, { minLength: 1, maxLength: most })
          .chain((steps) =>
            fc
              .shuffledSubarray(names, { minLength: steps.length, maxLength: steps.length })
              .map((ids) =>
                steps.map(({ becomes, ...rest }, at) => ({ id: ids[at]!, ...rest, ...(becomes ? { becomes } : {}) })),
              ),
          ),
        links: fc.array(fc.tuple(fc.nat(most - 1), fc.nat(most - 1)), { maxLength: 6 }),
        start: fc.tuple(...dimensions.map(() => value)),
        tables: fc.tuple(...dimensions.map(() => table)),
        forbidden: fc.array(
          some(4).filter((pairs) => Object.keys(pairs).length > 1),
          { maxLength: count > 1 ? 2 : 0 },
        ),
      })
      .map(({ steps, links, start, tables, forbidden }) => ({
        steps,
        before: links
          .filter(([first, second]) => first < second && second < steps.length)
          .map(([first, second]) => [steps[first]!.id, steps[second]!.id] as const),
        start: Object.fromEntries(dimensions.map((d, at) => [d, start[at]!])),
        changes: { dimensions: Object.fromEntries(dimensions.map((d, at) => [d, tables[at]!])), forbidden },
      }));
  });
}

/** The result, or undefined where a step can never be set up; any other error goes through. */
function solved(problem: SequenceProblem): SequenceResult | undefined {
  try {
    return sequence(problem);
  } catch (error) {
    if (error instanceof Error && error.message.includes('is forbidden whatever else is changed')) return undefined;
    throw error;
  }
}

/** Precedence and the order as one graph: a circle in it is a broken precedence. */
function keepsPrecedence({ before }: SequenceProblem, order: readonly string[]): boolean {
  const graph = new DirectedGraph();
  for (const id of order) graph.addNode(id);
  for (const [first, second] of before) graph.mergeEdge(first, second);
  order.slice(1).forEach((id, at) => graph.mergeEdge(order[at], id));
  return !hasCycle(graph);
}

describe('against trying every order', () => {
  test('least time, then fewest changes, then the very order that settles ties', () => {
    let compared = 0;
    const seen = { becomes: 0, forbidden: 0, detours: 0 };
    fc.assert(
      fc.property(problems(6), (problem) => {
        const found = solved(problem);
        const best = bruteForce(problem);
        expect(found === undefined).toBe(best === undefined);
        if (!found || !best) return;
        compared++;
        if (problem.steps.some(({ becomes }) => Object.keys(becomes ?? {}).length > 0)) seen.becomes++;
        if (problem.changes.forbidden.length > 0) seen.forbidden++;
        if (!isMetric(modelOf(problem))) seen.detours++;
        expect(found.proved).toBe(true);
        expect({ minutes: found.changeMinutes, changes: found.changes, order: found.order }).toEqual(best);
        expect(validate(problem, found)).toEqual([]);
      }),
      { numRuns: 600, seed: 11 },
    );
    expect(compared).toBeGreaterThan(400);
    for (const [kind, count] of Object.entries(seen)) expect(count, kind).toBeGreaterThan(compared / 5);
  });

  test('eight steps', () => {
    fc.assert(
      fc.property(
        problems(8).filter(({ steps, before }) => steps.length === 8 && before.length > 1),
        (problem) => {
          const found = solved(problem);
          const best = bruteForce(problem);
          expect(found && { minutes: found.changeMinutes, changes: found.changes, order: found.order }).toEqual(best);
        },
      ),
      { numRuns: 4, seed: 12, endOnFailure: true },
    );
  }, 120_000);
});

describe('any problem', () => {
  test('gives every step once, with all precedence kept, whatever the budget', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 999 }),
        fc.integer({ min: 1, max: 70 }),
        fc.integer({ min: 1, max: 9 }),
        fc.nat(300),
        (seed, count, width, expansions) => {
          const problem = rulebookShaped(seed, count, width);
          for (const found of [sequence(problem, { expansions }), greedy(problem)]) {
            expect(found.order.toSorted()).toEqual(problem.steps.map(({ id }) => id).sort());
            expect(keepsPrecedence(problem, found.order)).toBe(true);
            expect(validate(problem, found)).toEqual([]);
          }
        },
      ),
      { numRuns: 40, seed: 13 },
    );
  });

  test('has a bound that holds: the unproved result is never further off than its gap says', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 999 }), fc.nat(60), (seed, expansions) => {
        const problem = rulebookShaped(seed, 24, 5);
        const exact = sequence(problem);
        expect(exact.proved).toBe(true);
        const quick = sequence(problem, { expansions });
        expect(quick.changeMinutes).toBeGreaterThanOrEqual(exact.changeMinutes);
        expect(quick.changeMinutes * (1 - quick.gap)).toBeLessThanOrEqual(exact.changeMinutes + 1e-9);
        if (quick.proved) expect([quick.changeMinutes, quick.changes]).toEqual([exact.changeMinutes, exact.changes]);
      }),
      { numRuns: 60, seed: 14 },
    );
  });

  test('costs no more when a precedence is dropped', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 999 }), fc.nat(), (seed, pick) => {
        const problem = rulebookShaped(seed, 20, 4);
        const dropped = problem.before.filter((_, at) => at !== pick % problem.before.length);
        const [whole, freer] = [sequence(problem), sequence({ ...problem, before: dropped })];
        expect([whole.proved, freer.proved]).toEqual([true, true]);
        expect(freer.changeMinutes).toBeLessThanOrEqual(whole.changeMinutes);
      }),
      { numRuns: 60, seed: 15 },
    );
  });

  test('gives the same answer, byte for byte, in whatever order it is written down', () => {
    const shuffled = <T>(all: readonly T[]) =>
      fc.shuffledSubarray([...all], { minLength: all.length, maxLength: all.length });
    const pairs = fc
      .tuple(
        fc.oneof(
          problems(7),
          fc.integer({ min: 1, max: 99 }).map((seed) => rulebookShaped(seed, 24, 5)),
        ),
        fc.nat(2000),
      )
      .chain(([problem, expansions]) =>
        fc.record({
          problem: fc.constant(problem),
          expansions: fc.constant(expansions),
          steps: shuffled(problem.steps),
          before: shuffled(problem.before),
          forbidden: shuffled(problem.changes.forbidden),
          dimensions: shuffled(Object.entries(problem.changes.dimensions)).map(Object.fromEntries),
        }),
      );
    fc.assert(
      fc.property(pairs, ({ problem, expansions, steps, before, forbidden, dimensions }) => {
        fc.pre(solved(problem) !== undefined);
        const again = { ...problem, steps, before, changes: { forbidden, dimensions } };
        const text = JSON.stringify(sequence(problem, { expansions }));
        expect(JSON.stringify(sequence(again, { expansions }))).toBe(text);
        expect(JSON.stringify(sequence(problem, { expansions }))).toBe(text);
      }),
      { numRuns: 150, seed: 16 },
    );
  });
});

describe('against a mixed-integer solver (HiGHS), which may change a dimension at any time', () => {
  test.each([2, 3, 4, 5, 6, 7, 8, 9])('seed %i: being lazy costs nothing', async (seed) => {
    const problem = rulebookShaped(seed, 7, 3, 0.1);
    const found = sequence(problem);
    const { solve } = await loadHighs();
    const solution = solve(asMilp(problem, 1000), { mip_rel_gap: 0, output_flag: false });
    expect(solution.Status).toBe('Optimal');
    expect(found.proved).toBe(true);
    expect(found.changeMinutes * 1000 + found.changes).toBeCloseTo(solution.ObjectiveValue, 3);
  });

  test('the family has forbidden pairs that bite and steps that leave something else behind', () => {
    const steps = Array.from({ length: 8 }, (_, at) => rulebookShaped(at + 2, 7, 3, 0.1).steps).flat();
    expect(steps.filter(({ becomes }) => becomes).length).toBeGreaterThan(2);
    expect(workshop.forbidden.length).toBeGreaterThan(0);
  });
});

describe('the validator', () => {
  const faults: Record<
    string,
    (result: SequenceResult, at: number, problem: SequenceProblem) => SequenceResult | undefined
  > = {
    'a step is missing': (result, at) => ({ ...result, order: result.order.toSpliced(at, 1) }),
    'a step stands twice': (result, at) => ({ ...result, order: result.order.toSpliced(at, 0, result.order[at]!) }),
    'a stranger': (result, at) => ({ ...result, order: result.order.with(at, 'stranger') }),
    'a precedence is broken': (result, at, { before }) => {
      const pair = before[at % before.length];
      return pair && { ...result, order: [...result.order.filter((id) => id !== pair[0]), pair[0]] };
    },
    'a demand is not met': (result, at, { steps }) => {
      const [demand] = Object.keys(steps.find(({ id }) => id === result.order[at])!.setup);
      return demand === undefined ? undefined : setup(result, at, { [demand]: 'something else' });
    },
    'a dimension is changed without need': (result, at, { steps }) => {
      const demanded = steps.find(({ id }) => id === result.order[at])!.setup;
      return 'heat' in demanded ? undefined : setup(result, at, { heat: 'scorching' });
    },
    'a set-up says too little': (result, at) => ({ ...result, setups: result.setups.with(at, { place: 'bay' }) }),
    'a set-up is missing': (result, at) => ({ ...result, setups: result.setups.toSpliced(at, 1) }),
    'a wrong change-over time': (result) => ({ ...result, changeMinutes: result.changeMinutes - 1 }),
    'a wrong count of changes': (result) => ({ ...result, changes: result.changes + 1 }),
    'a wrong working time': (result) => ({ ...result, workMinutes: result.workMinutes + 1 }),
    'a wrong total': (result) => ({ ...result, totalMinutes: result.totalMinutes + 1 }),
    'a gap beside a proof': (result) => ({ ...result, gap: 0.1, proved: true }),
    'a gap below nothing': (result) => ({ ...result, gap: -0.1, proved: false }),
  };

  test.each(Object.keys(faults))('finds: %s', (name) => {
    let injected = 0;
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 999 }), fc.nat(11), (seed, at) => {
        const problem = rulebookShaped(seed, 12, 3);
        const faulty = faults[name]!(sequence(problem), at, problem);
        if (!faulty) return;
        injected++;
        expect(validate(problem, faulty)).not.toEqual([]);
      }),
      { numRuns: 40, seed: 17 },
    );
    expect(injected).toBeGreaterThan(5);
  });

  test('finds a forbidden combination, even one that the demands alone would allow', () => {
    const result = sequence(roadThenBay);
    expect(result.setups[1]).toEqual({ place: 'road', supply: 'none' });
    const held = { ...result, setups: result.setups.with(1, { place: 'road', supply: 'charger' }) };
    expect(validate(roadThenBay, held)).toContain(
      '"drive" is done with place "road" and supply "charger", which cannot hold together',
    );
  });
});

const roadThenBay: SequenceProblem = {
  steps: [
    { id: 'code', minutes: 10, setup: { supply: 'charger' } },
    { id: 'drive', minutes: 10, setup: { place: 'road' } },
  ],
  before: [['code', 'drive']],
  start: { place: 'bay', supply: 'none' },
  changes: {
    dimensions: { place: { minutes: {}, otherwise: 6 }, supply: { minutes: {}, otherwise: 3 } },
    forbidden: [{ place: 'road', supply: 'charger' }],
  },
};

function setup(result: SequenceResult, at: number, other: Record<string, string>): SequenceResult {
  return { ...result, setups: result.setups.with(at, { ...result.setups[at], ...other }) };
}
