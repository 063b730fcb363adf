import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { hasCycle } from 'graphology-dag';
import loadHighs from 'highs';
import { describe, expect, test } from 'vitest';
import { assignment } from '../src/sequence/assignment.ts';
import { order } from '../src/sequence/kernel.ts';
import { matrixOrdering } from '../src/sequence/matrix.ts';
import { isMetric, modelOf } from '../src/sequence/model.ts';
import { greedy, type SequenceProblem, type SequenceResult, sequence, validate } from '../src/sequence/sequence.ts';
import { rulebookShaped, workshop } from './bench/families.ts';
import { asMilp } from './sequence.milp.ts';
import { bruteForce } from './sequence.oracle.ts';
import { problems } from './sequence.problems.ts';

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

/** `TIMES=10 npx vitest run tests/sequence.property.test.ts` looks ten times as long. */
const TIMES = Number(process.env['TIMES'] ?? 1);

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
      { numRuns: 600 * TIMES, seed: 11 },
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
      { numRuns: 4 * TIMES, seed: 12, endOnFailure: true },
    );
  }, 120_000);
});

describe('the kernel on a matrix', () => {
  const matrices = fc.integer({ min: 2, max: 6 }).chain((count) =>
    fc.record({
      cost: fc.array(fc.array(fc.nat(30), { minLength: count, maxLength: count }), {
        minLength: count,
        maxLength: count,
      }),
      before: fc
        .array(fc.tuple(fc.nat(count - 1), fc.nat(count - 1)), { maxLength: 4 })
        .map((all) => all.filter(([first, second]) => first < second)),
    }),
  );

  test('finds what trying every path finds, and prices every node so that no path beats the sum', () => {
    fc.assert(
      fc.property(matrices, ({ cost, before }) => {
        const lengths = permutations(cost.map((_, node) => node))
          .filter((path) => before.every(([first, second]) => path.indexOf(first) < path.indexOf(second)))
          .map((path) => path.slice(1).reduce((sum, node, at) => sum + cost[path[at]!]![node]!, 0));
        const ordering = matrixOrdering(cost, before);
        const found = order(ordering, 100_000);
        expect([found.proved, found.cost]).toEqual([true, Math.min(...lengths)]);
        expect(ordering.bound(new Int32Array(1), ordering.start)).toBeLessThanOrEqual(found.cost);
      }),
      { numRuns: 300 * TIMES, seed: 18 },
    );
  });

  test('the prices of an assignment are fair and add up to the cheapest one', () => {
    fc.assert(
      fc.property(matrices, ({ cost }) => {
        const { rows, columns } = assignment(cost);
        cost.forEach((row, i) => row.forEach((each, j) => expect(rows[i]! + columns[j]!).toBeLessThanOrEqual(each)));
        const totals = permutations(cost.map((_, i) => i)).map((taken) =>
          taken.reduce((sum, j, i) => sum + cost[i]![j]!, 0),
        );
        expect([...rows, ...columns].reduce((sum, price) => sum + price, 0)).toBe(Math.min(...totals));
      }),
      { numRuns: 300 * TIMES, seed: 19 },
    );
  });
});

function permutations(all: readonly number[]): number[][] {
  if (all.length === 0) return [[]];
  return all.flatMap((first) => permutations(all.filter((each) => each !== first)).map((rest) => [first, ...rest]));
}

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
      { numRuns: 40 * TIMES, seed: 13 },
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
      { numRuns: 60 * TIMES, seed: 14 },
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
      { numRuns: 60 * TIMES, seed: 15 },
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
      { numRuns: 150 * TIMES, seed: 16 },
    );
  });
});

describe('against a mixed-integer solver (HiGHS), which may change a dimension at any time', () => {
  test.each([2, 3, 4, 5, 6, 7, 8, 9])('seed %i: being lazy costs nothing', async (seed) => {
    const problem = rulebookShaped(seed, 7, 3, 0.1);
    const found = sequence(problem);
    const highs = await loadHighs();
    const solution = highs.solve(asMilp(problem, 1000), { mip_rel_gap: 0, output_flag: false });
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
