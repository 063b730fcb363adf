import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type SequenceProblem, type SequenceResult, sequence, validate } from '../src/sequence/sequence.ts';
import { rulebookShaped } from './bench/families.ts';

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
