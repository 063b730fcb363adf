import { DirectedGraph } from 'graphology';
import { hasCycle } from 'graphology-dag';
import { describe, expect, test } from 'vitest';
import { order } from '../../../src/sequence/kernel.ts';
import { matrixOrdering } from '../../../src/sequence/matrix.ts';
import { type Instance, instanceFolder, published, readInstance } from '../../bench/tsplib.ts';

// TSPLIB's own table of sequential ordering problems (G. Reinelt, Heidelberg) for all but rbg150a, whose optimum is from
// the result table of a published parallel branch-and-bound (ImprovedPnB). The instances are not part of the project.
const optima: Readonly<Record<string, number>> = {
  ESC07: 2125,
  ESC12: 1675,
  ESC25: 1681,
  'br17.10': 55,
  rbg109a: 1038,
  rbg150a: 1750,
};

const folder = instanceFolder();
const state = folder ? '' : ' (skipped: no bench data)';

describe.skipIf(!folder)(`sequential ordering problems of TSPLIB${state}`, () => {
  test.each(Object.entries(optima))('%s is proved to cost %i', (name, optimum) => {
    const instance = readInstance(folder!, name);
    const found = order(matrixOrdering(instance.cost, instance.before), 400_000);
    expect(found.proved).toBe(true);
    expect(found.cost).toBe(optimum);
    expectValid(instance, found.steps, optimum);
  });

  test('where a proof takes too long, the published cost still lies between the bound and what was found', () => {
    for (const [name, { best, lowerBound }] of Object.entries(published(folder!))) {
      const instance = readInstance(folder!, name);
      const found = order(matrixOrdering(instance.cost, instance.before), 2000);
      expect(found.bound, name).toBeLessThanOrEqual(best);
      expect(found.cost, name).toBeGreaterThanOrEqual(lowerBound ?? best);
      expectValid(instance, found.steps, found.cost);
    }
  });
});

function expectValid({ cost, before }: Instance, steps: readonly number[], total: number): void {
  const graph = new DirectedGraph();
  cost.forEach((_, node) => graph.addNode(node));
  for (const [first, second] of before) graph.mergeEdge(first, second);
  steps.slice(1).forEach((node, at) => graph.mergeEdge(steps[at], node));
  expect(hasCycle(graph)).toBe(false);
  expect(new Set(steps).size).toBe(cost.length);
  expect(steps[0]).toBe(0);
  expect(steps.at(-1)).toBe(cost.length - 1);
  expect(steps.slice(1).reduce((sum, node, at) => sum + cost[steps[at]!]![node]!, 0)).toBe(total);
}
