import { assignment } from './assignment.ts';
import type { Move, Ordering } from './ordering.ts';
import { has, precedence } from './precedence.ts';

/** Costs of going straight from one step to another: whole numbers from 0, `cost[from][to]`. */
export type Matrix = readonly (readonly number[])[];

/**
 * The sequential ordering problem as it is published: a path over all nodes, costs from node to node, pairs that must be
 * kept. The first node of the path is free of charge. How things stand is the node that the path has come to.
 *
 * @throws CycleError where precedence runs in a circle
 */
export function matrixOrdering(cost: Matrix, before: readonly (readonly [number, number])[]): Ordering {
  const count = cost.length;
  const start = count;
  const moves: Move[][][] = Array.from({ length: count + 1 }, (_, from) =>
    Array.from({ length: count }, (_, to) => [{ to, cost: cost[from]?.[to] ?? 0, still: false }]),
  );
  const shares = sharesOf(cost, before);
  return {
    count,
    before,
    start,
    moves: (standing, step) => moves[standing]![step]!,
    bound: (done, standing) => {
      let sum = shares.leave[standing]! + shares.end;
      for (let node = 0; node < count; node++) if (!has(done, node)) sum += shares.enter[node]! + shares.leave[node]!;
      return Math.max(0, sum);
    },
    still: () => null,
  };
}

/**
 * What entering and leaving each node costs at least, such that no straight way between two nodes costs less than leaving
 * the one and entering the other: the prices of the assignment problem, in which every node is left once and entered once.
 * Ways that precedence rules out are left out of it: backwards, and past a node that must come between.
 */
function sharesOf(cost: Matrix, before: readonly (readonly [number, number])[]) {
  const count = cost.length;
  const after = closure(count, before);
  const isOpen = (from: number, to: number): boolean => {
    if (from === to || after[to]![from]) return false;
    return !after[from]![to] || !after[from]!.some((follows, between) => follows && after[between]![to]);
  };
  // Row `count` is the start, column `count` the end.
  const table = Array.from({ length: count + 1 }, (_, from) =>
    Array.from({ length: count + 1 }, (_, to) => {
      if (from === count) return to === count || after.some((row) => row[to]) ? Infinity : 0;
      if (to === count) return after[from]!.some(Boolean) ? Infinity : 0;
      return isOpen(from, to) ? cost[from]![to]! : Infinity;
    }),
  );
  const { rows, columns } = assignment(table);
  return { leave: rows, enter: columns, end: columns[count]! };
}

/** `after[a][b]`: b must come at some time after a. */
function closure(count: number, before: readonly (readonly [number, number])[]): boolean[][] {
  precedence(count, before);
  const after = Array.from({ length: count }, () => Array.from({ length: count }, () => false));
  for (const [first, second] of before) after[first]![second] = true;
  for (let by = 0; by < count; by++) {
    for (const row of after) if (row[by]) for (let to = 0; to < count; to++) row[to] ||= after[by]![to]!;
  }
  return after;
}
