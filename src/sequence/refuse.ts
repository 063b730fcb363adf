import { distance } from 'fastest-levenshtein';
import { own } from './model.ts';
import type { SequenceProblem } from './problem.ts';

/** @throws Error at the first thing in a problem that makes no sense: what, where, and the nearest name that would */
export function refuse(problem: SequenceProblem): void {
  const { steps, before, start, changes } = problem;
  const dimensions = Object.keys(changes.dimensions);
  const ids = new Set<string>();
  for (const [at, { id, minutes, setup, becomes }] of steps.entries()) {
    if (ids.has(id)) throw new Error(`steps[${at}].id: "${id}" is there twice`);
    ids.add(id);
    refuseMinutes(minutes, `step "${id}": minutes`);
    refuseDimensions(setup, dimensions, `step "${id}": setup`);
    refuseDimensions(becomes ?? {}, dimensions, `step "${id}": becomes`);
  }
  for (const [at, pair] of before.entries()) {
    for (const id of pair) if (!ids.has(id)) throw new Error(`before[${at}]: no step "${id}"${nearest(id, [...ids])}`);
  }
  refuseDimensions(start, dimensions, 'start');
  for (const dimension of dimensions) {
    if (own(start, dimension) === undefined) {
      throw new Error(`start: "${dimension}" has no value; a change from an unknown value cannot be priced`);
    }
    const { minutes: table, otherwise } = changes.dimensions[dimension]!;
    refuseMinutes(otherwise, `dimension "${dimension}": otherwise`);
    for (const [from, row] of Object.entries(table)) {
      for (const [to, each] of Object.entries(row)) refuseMinutes(each, `dimension "${dimension}": ${from} to ${to}`);
    }
  }
  for (const [at, pairs] of changes.forbidden.entries()) {
    refuseDimensions(pairs, dimensions, `forbidden[${at}]`);
    if (Object.keys(pairs).length === 0)
      throw new Error(`forbidden[${at}]: names no value, so it would forbid everything`);
  }
}

function refuseMinutes(minutes: number, where: string): void {
  if (Number.isFinite(minutes) && minutes >= 0) return;
  throw new Error(`${where}: ${minutes} is no length of time; minutes from 0 up are`);
}

function refuseDimensions(setup: Readonly<Record<string, string>>, dimensions: readonly string[], where: string): void {
  for (const dimension of Object.keys(setup)) {
    if (!dimensions.includes(dimension)) {
      throw new Error(`${where}: no dimension "${dimension}"${nearest(dimension, dimensions)}`);
    }
  }
}

function nearest(name: string, names: readonly string[]): string {
  const [best] = names.toSorted((a, b) => distance(name, a) - distance(name, b));
  return best === undefined ? '' : `; did you mean "${best}"?`;
}
