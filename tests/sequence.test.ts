import { describe, expect, test } from 'vitest';
import { order } from '../src/sequence/kernel.ts';
import { matrixOrdering } from '../src/sequence/matrix.ts';
import { isMetric, modelOf } from '../src/sequence/model.ts';
import {
  type ChangeModel,
  CycleError,
  greedy,
  type SequenceProblem,
  type SequenceStep,
  sequence,
  validate,
} from '../src/sequence/sequence.ts';
import { rulebookShaped, workshop } from './bench/families.ts';

const start = { heat: 'cold', ignition: 'off', place: 'bay', supply: 'none', wheels: 'ground' };

/** "a: place=road, heat=warm; minutes 5; becomes heat=warm", in one line a step. */
function steps(...lines: string[]): SequenceStep[] {
  return lines.map((line) => {
    const [id = '', setup = '', becomes = ''] = line.split(/[:>]/).map((part) => part.trim());
    const left = pairs(becomes);
    return { id, minutes: 5, setup: pairs(setup), ...(becomes ? { becomes: left } : {}) };
  });
}

function pairs(text: string): Record<string, string> {
  return Object.fromEntries(text.split(' ').flatMap((pair) => (pair ? [pair.split('=') as [string, string]] : [])));
}

function problem(lines: string[], before: [string, string][] = [], changes: ChangeModel = workshop): SequenceProblem {
  return { steps: steps(...lines), before, start, changes };
}

interface Case {
  readonly why: string;
  readonly problem: SequenceProblem;
  readonly order: string;
  readonly minutes: number;
  readonly changes: number;
  /** set-ups that must be in force, by place in the order */
  readonly setups?: Record<number, Record<string, string>>;
}

const cases: Case[] = [
  {
    why: 'cold work comes before the engine is warmed: cooling down takes four hours',
    problem: problem(['level: heat=warm', 'valve-lash: heat=cold', 'zz-compression: heat=cold']),
    order: 'valve-lash zz-compression level',
    minutes: 10,
    changes: 1,
  },
  {
    why: 'precedence overrules the cost, and the cost says so',
    problem: problem(['a: heat=warm', 'b: heat=cold'], [['a', 'b']]),
    order: 'a b',
    minutes: 10 + 240,
    changes: 2,
  },
  {
    why: 'a drive leaves the engine warm, so the warm check waits for it and costs nothing',
    problem: problem(['check: heat=warm place=bay', 'drive: place=road ignition=running > heat=warm']),
    order: 'drive check',
    minutes: 6 + 1 + 6,
    changes: 3,
  },
  {
    why: 'the charger comes off before the road, though no step asks for it',
    problem: problem(['code: supply=charger ignition=on', 'drive: place=road ignition=running'], [['code', 'drive']]),
    order: 'code drive',
    minutes: 3 + 1 + 2 + 6 + 1,
    changes: 5,
    setups: { 1: { supply: 'none' } },
  },
  {
    why: 'what no step demands stays as it is: the charger is not taken off at the end',
    problem: problem(['a: supply=charger', 'b: wheels=hanging'], [['a', 'b']]),
    order: 'a b',
    minutes: 3 + 5,
    changes: 2,
    setups: { 0: { wheels: 'ground' }, 1: { supply: 'charger', place: 'bay', ignition: 'off' } },
  },
  {
    why: 'a step that demands nothing is done at once, as the car stands',
    problem: problem(['a: ignition=on', 'note: ']),
    order: 'note a',
    minutes: 1,
    changes: 1,
  },
  {
    why: 'of equal orders the lower id goes first',
    problem: problem(['c: ', 'b: ', 'a: ']),
    order: 'a b c',
    minutes: 0,
    changes: 0,
  },
  {
    why: 'with equal time, fewer changes: b stays with a',
    problem: problem(['a: p=x', 'b: p=x', 'c: q=y'], [['a', 'c']], {
      dimensions: { p: { minutes: {}, otherwise: 0 }, q: { minutes: {}, otherwise: 0 } },
      forbidden: [{ p: 'x', q: 'y' }],
    }),
    order: 'a b c',
    minutes: 0,
    changes: 3,
    setups: { 2: { p: 'o', q: 'y' } },
  },
  {
    why: 'forced out, a dimension goes where the step after wants it, not where the way is shortest',
    problem: {
      steps: steps('a: p=x', 'b: q=y', 'c: p=far q=y'),
      before: [
        ['a', 'b'],
        ['b', 'c'],
      ],
      start: { p: 'x', q: 'o' },
      changes: {
        dimensions: {
          p: { minutes: { x: { far: 3, near: 2 }, near: { far: 3 } }, otherwise: 5 },
          q: { minutes: {}, otherwise: 1 },
        },
        forbidden: [{ p: 'x', q: 'y' }],
      },
    },
    order: 'a b c',
    minutes: 3 + 1,
    changes: 2,
    setups: { 1: { p: 'far', q: 'y' } },
  },
  {
    why: 'fractions of a minute are added exactly: three times 0.1 is not more than 0.3',
    problem: {
      steps: steps('a: p=1', 'b: p=2', 'c: p=3', 'd: q=1'),
      before: [],
      start: { p: '0', q: '0' },
      changes: {
        dimensions: {
          p: { minutes: { 0: { 1: 0.1, 3: 0.1 }, 1: { 2: 0.1 }, 2: { 3: 0.1, 1: 0.1 }, 3: { 2: 0.1 } }, otherwise: 1 },
          q: { minutes: {}, otherwise: 0.3 },
        },
        forbidden: [],
      },
    },
    order: 'a b c d',
    minutes: 0.6,
    changes: 4,
  },
  { why: 'no steps', problem: problem([]), order: '', minutes: 0, changes: 0 },
];

describe('sequence', () => {
  test.each(cases.map((each) => [each.why, each] as const))('%s', (_, { problem, order, minutes, changes, setups }) => {
    const result = sequence(withStart(problem));
    expect(result.order.join(' ')).toBe(order);
    expect(result.changeMinutes).toBeCloseTo(minutes, 9);
    expect(result.changes).toBe(changes);
    expect(result.totalMinutes).toBeCloseTo(minutes + 5 * problem.steps.length, 9);
    expect([result.proved, result.gap]).toEqual([true, 0]);
    for (const [at, setup] of Object.entries(setups ?? {})) expect(result.setups[Number(at)]).toMatchObject(setup);
    expect(validate(withStart(problem), result)).toEqual([]);
  });

  test('goes past 64 steps', () => {
    const wide = rulebookShaped(3, 100, 10);
    const result = sequence(wide);
    expect(result.proved).toBe(true);
    expect(validate(wide, result)).toEqual([]);
  });

  test('stopped early it still gives a whole order, a gap, and the same again', () => {
    const hard = rulebookShaped(16, 60, 8, 0.01);
    const [proved, early] = [sequence(hard), sequence(hard, { expansions: 200 })];
    expect(early.proved).toBe(false);
    expect(early.gap).toBeGreaterThan(0);
    expect(early.changeMinutes * (1 - early.gap)).toBeLessThanOrEqual(proved.changeMinutes);
    expect(sequence(hard, { expansions: 200 })).toEqual(early);
  });

  test('greedy is valid, and honest about how good it is', () => {
    const any = rulebookShaped(7, 40, 6);
    const quick = greedy(any);
    expect(validate(any, quick)).toEqual([]);
    expect(quick.changeMinutes * (1 - quick.gap)).toBeLessThanOrEqual(sequence(any).changeMinutes);
  });

  test('the minutes of the bench have no detour cheaper than the straight way', () => {
    expect(isMetric(modelOf(rulebookShaped(1, 5, 2)))).toBe(true);
  });
});

/** A case with its own dimensions starts at a value that no step names. */
function withStart(given: SequenceProblem): SequenceProblem {
  const dimensions = Object.keys(given.changes.dimensions);
  if (dimensions.every((dimension) => dimension in given.start)) return given;
  return { ...given, start: Object.fromEntries(dimensions.map((dimension) => [dimension, 'o'])) };
}

describe('refuses', () => {
  test('a circle, naming a shortest one', () => {
    const lines = ['a: ', 'b: ', 'c: ', 'd: '];
    const circle = problem(lines, [
      ['a', 'b'],
      ['b', 'c'],
      ['c', 'd'],
      ['d', 'a'],
      ['c', 'b'],
    ]);
    expect(() => sequence(circle)).toThrow('precedence runs in a circle: "b" before "c" before "b"');
    try {
      greedy(circle);
    } catch (error) {
      expect(error).toBeInstanceOf(CycleError);
      expect((error as CycleError).cycle).toEqual(['b', 'c']);
    }
    expect.assertions(3);
  });

  test.each<[string, (good: SequenceProblem) => SequenceProblem]>([
    ['precedence runs in a circle: "a" before "a"', (good) => ({ ...good, before: [['a', 'a']] })],
    ['steps[1].id: "a" is there twice', (good) => ({ ...good, steps: [good.steps[0]!, good.steps[0]!] })],
    ['before[0]: no step "bb"; did you mean "b"?', (good) => ({ ...good, before: [['a', 'bb']] })],
    [
      'step "a": setup: no dimension "palce"; did you mean "place"?',
      (good) => ({ ...good, steps: steps('a: palce=bay') }),
    ],
    [
      'step "a": becomes: no dimension "heta"; did you mean "heat"?',
      (good) => ({ ...good, steps: steps('a: place=bay > heta=warm') }),
    ],
    ['start: "heat" has no value', (good) => ({ ...good, start: { ...start, heat: undefined } as never })],
    [
      'step "a": minutes: -1 is no length of time',
      (good) => ({ ...good, steps: [{ id: 'a', minutes: -1, setup: {} }] }),
    ],
    [
      'dimension "heat": cold to warm: NaN is no length',
      (good) => ({ ...good, changes: heat({ cold: { warm: NaN } }, 1) }),
    ],
    ['dimension "heat": otherwise: Infinity is no length', (good) => ({ ...good, changes: heat({}, Infinity) })],
    ['forbidden[0]: names no value', (good) => ({ ...good, changes: { ...workshop, forbidden: [{}] } })],
    [
      'forbidden[0]: no dimension "plce"',
      (good) => ({ ...good, changes: { ...workshop, forbidden: [{ plce: 'x' }] } }),
    ],
    [
      'step "c": its set-up {"place":"road","supply":"charger"} is forbidden',
      (good) => ({ ...good, steps: steps('c: place=road supply=charger') }),
    ],
  ])('%s', (message, spoil) => {
    expect(() => sequence(spoil(problem(['a: ', 'b: '])))).toThrow(message);
  });
});

function heat(minutes: Record<string, Record<string, number>>, otherwise: number): ChangeModel {
  return { ...workshop, dimensions: { ...workshop.dimensions, heat: { minutes, otherwise } } };
}

describe('the kernel on a matrix', () => {
  // Four towns in a row, going back is dear: 0 1 2 3 costs 3; with 3 before 1 the best is 0 2 3 1, 2 + 1 + 9 = 12, or 0 3 1 2, 3 + 9 + 1 = 13.
  const cost = [0, 1, 2, 3].map((from) => [0, 1, 2, 3].map((to) => (to >= from ? to - from : 9)));

  test.each<[string, [number, number][], number[], number]>([
    [
      'follows the costs',
      [
        [0, 1],
        [0, 2],
        [0, 3],
      ],
      [0, 1, 2, 3],
      3,
    ],
    [
      'keeps precedence',
      [
        [0, 1],
        [0, 2],
        [0, 3],
        [3, 1],
      ],
      [0, 2, 3, 1],
      12,
    ],
  ])('%s', (_, before, best, total) => {
    const found = order(matrixOrdering(cost, before), 1000);
    expect([found.steps, found.cost, found.proved]).toEqual([best, total, true]);
  });

  test('refuses a circle', () => {
    expect(() =>
      matrixOrdering(cost, [
        [0, 1],
        [1, 0],
      ]),
    ).toThrow(CycleError);
  });
});
