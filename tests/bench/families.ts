import type { ChangeModel, SequenceProblem, SequenceStep } from '../../src/sequence/sequence.ts';

/** Numbers from 0 up to 1, the same for the same seed (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Minutes are common practice in a shop, no source; only their proportions matter here. */
export const workshop: ChangeModel = {
  dimensions: {
    heat: { minutes: { cold: { warm: 10 }, warm: { cold: 240 } }, otherwise: 10 },
    ignition: {
      minutes: { off: { on: 1, running: 1 }, on: { off: 1, running: 1 }, running: { off: 1, on: 2 } },
      otherwise: 2,
    },
    place: {
      minutes: {
        bay: { 'alignment-rack': 15, road: 6, 'target-area': 12 },
        'alignment-rack': { bay: 12, road: 14, 'target-area': 18 },
        'target-area': { bay: 8, 'alignment-rack': 18, road: 10 },
        road: { bay: 6, 'alignment-rack': 16, 'target-area': 14 },
      },
      otherwise: 15,
    },
    supply: { minutes: { none: { charger: 3 }, charger: { none: 2 } }, otherwise: 3 },
    wheels: { minutes: { ground: { hanging: 5 }, hanging: { ground: 4 } }, otherwise: 5 },
  },
  forbidden: [
    { place: 'road', supply: 'charger' },
    { place: 'road', wheels: 'hanging' },
    { place: 'road', ignition: 'off' },
    { place: 'alignment-rack', ignition: 'running' },
  ],
};

/** How often a step of the rulebook's kind demands a value: half of them leave most dimensions as they stand. */
const demands: Readonly<Record<string, readonly (readonly [value: string, share: number])[]>> = {
  heat: [
    ['cold', 0.04],
    ['warm', 0.12],
  ],
  ignition: [
    ['off', 0.2],
    ['on', 0.4],
    ['running', 0.15],
  ],
  place: [
    ['bay', 0.1],
    ['alignment-rack', 0.08],
    ['target-area', 0.08],
    ['road', 0.08],
  ],
  supply: [
    ['charger', 0.25],
    ['none', 0.04],
  ],
  wheels: [
    ['ground', 0.15],
    ['hanging', 0.1],
  ],
};

/**
 * Steps shaped like a job's: `width` chains (one system after another), and between any two steps of different chains an
 * edge with the probability `cross`. No lags.
 */
export function rulebookShaped(seed: number, count: number, width: number, cross = 0.05): SequenceProblem {
  const random = seeded(seed);
  const steps = Array.from({ length: count }, (_, at) => step(`s${String(at).padStart(3, '0')}`, random));
  const before: [string, string][] = [];
  steps.forEach(({ id }, at) => {
    if (at >= width) before.push([steps[at - width]!.id, id]);
    for (let first = 0; first < at; first++) {
      if ((at - first) % width !== 0 && random() < cross) before.push([steps[first]!.id, id]);
    }
  });
  const start = { heat: 'cold', ignition: 'off', place: 'bay', supply: 'none', wheels: 'ground' };
  return { steps, before, start, changes: workshop };
}

function step(id: string, random: () => number): SequenceStep {
  for (;;) {
    const setup: Record<string, string> = {};
    for (const [dimension, shares] of Object.entries(demands)) {
      let drawn = random();
      const found = shares.find(([, share]) => (drawn -= share) < 0);
      if (found) setup[dimension] = found[0];
    }
    const isForbidden = workshop.forbidden.some((pairs) =>
      Object.entries(pairs).every(([dimension, value]) => setup[dimension] === value),
    );
    if (isForbidden) continue;
    const minutes = 2 + Math.floor(random() * 30);
    return setup['place'] === 'road' ? { id, minutes, setup, becomes: { heat: 'warm' } } : { id, minutes, setup };
  }
}
