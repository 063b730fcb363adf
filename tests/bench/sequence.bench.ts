import { greedy, type SequenceResult, sequence, validate } from '../../src/sequence/sequence.ts';
import { rulebookShaped } from './families.ts';
import type { Row } from './run.ts';

export const name = 'sequence';

interface Family {
  readonly steps: number;
  readonly width: number;
  readonly cross: number;
  readonly instances: number;
  readonly expansions: number;
  /** the share of instances that must keep to it, and the processor milliseconds */
  readonly budget?: { readonly share: number; readonly ms: number };
}

const proof = 1_000_000;

/** Enough for a result within 5 % of the best in a second, so that a person need not wait for the proof. */
const quick = 4000;

const families: readonly Family[] = [
  { steps: 40, width: 6, cross: 0.05, instances: 100, expansions: proof, budget: { share: 0.95, ms: 100 } },
  { steps: 60, width: 8, cross: 0.05, instances: 40, expansions: proof, budget: { share: 1, ms: 60_000 } },
  { steps: 60, width: 8, cross: 0.05, instances: 40, expansions: quick, budget: { share: 1, ms: 1000 } },
  { steps: 60, width: 8, cross: 0.01, instances: 10, expansions: proof },
  { steps: 80, width: 10, cross: 0.05, instances: 10, expansions: proof },
];

/** @throws Error when a budget is missed, or an order is not valid */
export function run(): Row[] {
  // The first runs are compiled while they run, which says nothing about the search.
  for (let seed = 901; seed < 921; seed++) sequence(rulebookShaped(seed, 40, 6));
  const best = new Map<string, SequenceResult>();
  return families.map((family) => measure(family, best));
}

function measure(family: Family, best: Map<string, SequenceResult>): Row {
  const { steps, width, cross, instances, expansions, budget } = family;
  const wall: number[] = [];
  const processor: number[] = [];
  let proved = 0;
  let furthest = 0;
  let saved = 0;
  for (let seed = 1; seed <= instances; seed++) {
    const problem = rulebookShaped(seed, steps, width, cross);
    const [before, from] = [process.cpuUsage(), performance.now()];
    const result = sequence(problem, { expansions });
    wall.push(performance.now() - from);
    const used = process.cpuUsage(before);
    processor.push((used.user + used.system) / 1000);
    const faults = validate(problem, result);
    if (faults.length > 0) throw new Error(`seed ${seed}: ${faults.join('; ')}`);
    if (result.proved) proved++;
    const key = `${seed} ${steps} ${width} ${cross}`;
    const exact = best.get(key) ?? result;
    if (exact.proved) best.set(key, exact);
    furthest = Math.max(furthest, exact.proved ? result.changeMinutes / exact.changeMinutes - 1 : result.gap);
    const plain = greedy(problem).changeMinutes;
    saved += (plain - result.changeMinutes) / plain / instances;
  }
  refuse(family, processor, proved, furthest);
  return {
    steps,
    width,
    cross: `${cross * 100} %`,
    instances,
    expansions,
    proved: `${proved}/${instances}`,
    furthest: `${(furthest * 100).toFixed(1)} %`,
    'median ms': at(wall, 0.5),
    'p95 ms': at(wall, 0.95),
    'processor p95 ms': at(processor, 0.95),
    'processor max ms': at(processor, 1),
    budget: budget ? `${budget.ms} ms for ${budget.share * 100} %` : '',
    'less than greedy': `${(saved * 100).toFixed(1)} %`,
  };
}

/** Processor time is what counts: on a shared machine the clock measures the neighbours as well. */
function refuse({ steps, expansions, budget }: Family, processor: readonly number[], proved: number, furthest: number) {
  if (!budget) return;
  const took = at(processor, budget.share);
  if (took > budget.ms)
    throw new Error(`${steps} steps took ${took.toFixed(0)} ms of processor time, over ${budget.ms}`);
  if (expansions === proof && proved < processor.length)
    throw new Error(`${steps} steps: ${proved} proved of ${processor.length}`);
  if (furthest > 0.05) throw new Error(`${steps} steps: ${(furthest * 100).toFixed(1)} % above the best, over 5 %`);
}

function at(sample: readonly number[], share: number): number {
  const sorted = sample.toSorted((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(sorted.length * share) - 1)] ?? Number.NaN;
}
