import { order } from '../../src/sequence/kernel.ts';
import { matrixOrdering } from '../../src/sequence/matrix.ts';
import type { Row } from './run.ts';
import { instanceFolder, instanceNames, published, readInstance } from './tsplib.ts';

/** The kernel on TSPLIB's sequential ordering problems, beside what is published for them. */
export const name = 'sop';

/** Instances whose precedence leaves few enough done-sets for a proof; of the others only the gap is shown. */
const provable = new Set(['ESC07', 'ESC12', 'ESC25', 'br17.10', 'ft53.4', 'p43.4', 'rbg109a', 'rbg150a']);
const forProof = 2_500_000;
const forGap = 200_000;

/** @throws Error when a proof or a bound contradicts what is published, or a proof is missing */
export function run(): Row[] {
  const folder = instanceFolder();
  if (!folder) return [{ sop: 'skipped: no bench data' }];
  const known = published(folder);
  return instanceNames(folder).map((instance) => {
    const { cost, before } = readInstance(folder, instance);
    const { best, optimal, lowerBound } = known[instance]!;
    const from = performance.now();
    const found = order(matrixOrdering(cost, before), provable.has(instance) ? forProof : forGap);
    const seconds = (performance.now() - from) / 1000;
    if (found.bound > best) throw new Error(`${instance}: a bound of ${found.bound}, and ${best} is published`);
    if (found.proved && optimal && found.cost !== best)
      throw new Error(`${instance}: ${found.cost} proved, not ${best}`);
    if (provable.has(instance) && !found.proved) throw new Error(`${instance}: not proved, at ${found.bound}`);
    return {
      instance,
      nodes: cost.length,
      published: optimal ? `${best}` : `${lowerBound}..${best}`,
      found: found.cost,
      'above published': percent((found.cost - best) / best),
      bound: found.bound,
      gap: percent((found.cost - found.bound) / found.cost),
      proved: found.proved,
      expansions: found.expansions,
      seconds,
    };
  });
}

function percent(share: number): string {
  return `${(share * 100).toFixed(1)} %`;
}
