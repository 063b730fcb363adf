import type { SequenceProblem } from './problem.ts';

/** A value number per dimension; undefined where the step says nothing. */
type Partial = readonly (number | undefined)[];

/** The problem in numbers: steps by id, dimensions and values by name, so that the order they were given in is forgotten. */
export interface Model {
  readonly count: number;
  readonly dimensions: readonly string[];
  /** names of the values, per dimension */
  readonly values: readonly (readonly string[])[];
  readonly start: readonly number[];
  readonly demands: readonly Partial[];
  readonly becomes: readonly Partial[];
  /** `cost[dimension][from][to]`: time times `perTime`, plus 1 for the change, so that fewer changes settle a tie */
  readonly cost: readonly (readonly (readonly number[])[])[];
  /** combinations of [dimension, value] that cannot hold together */
  readonly forbidden: readonly (readonly (readonly [number, number])[])[];
  /** more than the changes of any order */
  readonly perTime: number;
}

/** `problem` must have passed `refuse`, and its steps be in the order that settles ties. */
export function modelOf(problem: SequenceProblem): Model {
  const { steps, start, changes } = problem;
  const dimensions = Object.keys(changes.dimensions).sort();
  const values = dimensions.map((dimension) => valuesOf(problem, dimension));
  const numbers = (setup: Readonly<Record<string, string>>): Partial =>
    dimensions.map((dimension, at) => {
      const value = own(setup, dimension);
      return value === undefined ? undefined : values[at]!.indexOf(value);
    });
  const perTime = steps.length * dimensions.length + 1;
  const parts = partsOfMinute(problem);
  const price = (dimension: string, from: string, to: string): number =>
    from === to ? 0 : Math.round(minutes(changes, dimension, from, to) * parts) * perTime + 1;
  const cost = dimensions.map((dimension, at) =>
    values[at]!.map((from) => values[at]!.map((to) => price(dimension, from, to))),
  );
  const forbidden = changes.forbidden.map((pairs) =>
    numbers(pairs).flatMap((value, at) => (value === undefined ? [] : [[at, value] as const])),
  );
  return {
    count: steps.length,
    dimensions,
    values,
    start: numbers(start).map((value) => value!),
    demands: steps.map(({ setup }) => numbers(setup)),
    becomes: steps.map(({ becomes }) => numbers(becomes ?? {})),
    cost,
    forbidden,
    perTime,
  };
}

/** The minutes of one change, as the tables say: no way round by a third value is looked for. */
export function minutes(changes: SequenceProblem['changes'], dimension: string, from: string, to: string): number {
  if (from === to) return 0;
  const { minutes: table, otherwise } = changes.dimensions[dimension]!;
  return own(own(table, from) ?? {}, to) ?? otherwise;
}

/** Whether no change is ever cheaper by way of a third value. What must not be put off is safe to do at once only then. */
export function isMetric({ cost }: Model): boolean {
  return cost.every((table) =>
    table.every((row, from) =>
      row.every((direct, to) => table.every((via, by) => row[by]! + via[to]! >= direct || from === to)),
    ),
  );
}

/**
 * The same steps seen through a few dimensions only, with ways round by a third value allowed: no order can cost more here
 * than its share of these dimensions in the whole.
 */
export function project(model: Model, kept: readonly number[]): Model {
  const pick = <T>(all: readonly T[]): T[] => kept.map((dimension) => all[dimension]!);
  const forbidden = model.forbidden
    .filter((pairs) => pairs.every(([dimension]) => kept.includes(dimension)))
    .map((pairs) => pairs.map(([dimension, value]) => [kept.indexOf(dimension), value] as const));
  return {
    ...model,
    dimensions: pick(model.dimensions),
    values: pick(model.values),
    start: pick(model.start),
    demands: model.demands.map(pick),
    becomes: model.becomes.map(pick),
    cost: pick(model.cost).map(shortest),
    forbidden,
  };
}

function shortest(table: readonly (readonly number[])[]): number[][] {
  const least = table.map((row) => row.slice());
  least.forEach((via, by) => {
    for (const row of least) row.forEach((direct, to) => (row[to] = Math.min(direct, row[by]! + via[to]!)));
  });
  return least;
}

function valuesOf({ steps, start, changes }: SequenceProblem, dimension: string): string[] {
  const { minutes: table } = changes.dimensions[dimension]!;
  const setups = [start, ...steps.flatMap(({ setup, becomes }) => [setup, becomes ?? {}]), ...changes.forbidden];
  const named = setups.map((setup) => own(setup, dimension)).filter((value) => value !== undefined);
  return [...new Set([...named, ...Object.keys(table), ...Object.values(table).flatMap(Object.keys)])].sort();
}

/** Costs are compared as whole numbers, for sums of fractions would make equal orders differ: the parts that a minute is cut into. */
function partsOfMinute({ changes }: SequenceProblem): number {
  const tables = Object.values(changes.dimensions);
  const all = tables.flatMap(({ minutes: table, otherwise }) => [
    otherwise,
    ...Object.values(table).flatMap(Object.values<number>),
  ]);
  const fits = [1, 2, 10, 60, 100, 1000].find((parts) => all.every((each) => Number.isInteger(each * parts)));
  return fits ?? 60_000;
}

export function own<T>(record: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}
