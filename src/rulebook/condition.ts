import jsonLogic from 'json-logic-js';
import type { RulesLogic } from 'json-logic-js';
import { type Cells, cut, type Domain, type Value } from './domain.ts';
import type { Fault } from './fault.ts';
import { GrammarCheck } from './grammar.ts';

/**
 * A condition on traits, compiled once to a truth table. json-logic-js answers `true` for `!` and `<` on a missing
 * value, so it never sees one: every completion of the traits named goes through it at load, and a job only looks up.
 */
export interface Condition {
  readonly text: unknown;
  readonly variables: readonly string[];
  readonly cells: readonly Cells[];
  /** Literals compared with, per variable; needed to cut finer when tables meet. */
  readonly constants: readonly (readonly Value[])[];
  /** 1 where it holds; row-major over `cells`. */
  readonly table: Uint8Array;
}

export const MOST_ROWS = 4096;

export const ALWAYS: Condition = { text: true, variables: [], cells: [], constants: [], table: Uint8Array.of(1) };

/** The answer where every variable is known. */
export function holds(condition: Condition, read: (variable: string) => Value): boolean {
  let row = 0;
  for (let i = 0; i < condition.cells.length; i++) {
    const cells = condition.cells[i] as Cells;
    row = row * cells.samples.length + cells.of(read(condition.variables[i] as string));
  }
  return condition.table[row] === 1;
}

/** What a condition can still come to: only false, only true, or either. */
export type Range = 1 | 2 | 3;
export const NEVER = 1;
export const SURELY = 2;
export const EITHER = 3;

/** All answers still possible; `possible` gives the values a variable can still have, undefined = all of its domain. */
export function range(condition: Condition, possible: (variable: string) => readonly Value[] | undefined): Range {
  if (condition.variables.length === 0) return condition.table[0] === 1 ? SURELY : NEVER;
  let rows: number[] = [0];
  condition.cells.forEach((cells, i) => {
    const values = possible(condition.variables[i] as string);
    const left = values ? new Set(values.map((v) => cells.of(v))) : cells.samples.keys();
    const size = cells.samples.length;
    const next: number[] = [];
    for (const cell of left) for (const row of rows) next.push(row * size + cell);
    rows = next;
  });
  let seen = 0;
  for (const row of rows) seen |= condition.table[row] === 1 ? SURELY : NEVER;
  return seen as Range;
}

/**
 * Checks a condition as written and compiles it. Faults come back in `faults` (pointer relative to `at`), and the
 * condition is then undefined. Source of the operators: JSON Logic, jsonlogic.com; ours is an allow-list of them.
 */
export function compileCondition(
  text: unknown,
  domains: ReadonlyMap<string, Domain>,
  file: string,
  at: string,
  faults: Fault[],
): Condition | undefined {
  if (text === undefined || text === true) return ALWAYS;
  const check = new GrammarCheck(domains, file, faults);
  check.node(text, at, 0);
  if (check.found) return undefined;
  const variables = [...check.constants.keys()].sort();
  const constants = variables.map((v) => [...(check.constants.get(v) ?? [])]);
  const cells = variables.map((v, i) => cut(domains.get(v) as Domain, constants[i] as Value[]));
  const rows = cells.reduce((product, c) => product * c.samples.length, 1);
  if (rows > MOST_ROWS) {
    faults.push({
      file,
      pointer: at,
      message: `truth table has ${rows} rows, over ${MOST_ROWS}`,
      hint: 'split the trigger, or name fewer traits in one condition',
    });
    return undefined;
  }
  return { text, variables, cells, constants, table: tabulate(text, variables, cells, rows) };
}

function tabulate(text: unknown, variables: readonly string[], cells: readonly Cells[], rows: number): Uint8Array {
  const table = new Uint8Array(rows);
  const completion: Record<string, Value> = Object.create(null);
  for (let row = 0; row < rows; row++) {
    let rest = row;
    for (let i = variables.length - 1; i >= 0; i--) {
      const samples = (cells[i] as Cells).samples;
      completion[variables[i] as string] = samples[rest % samples.length] as Value;
      rest = Math.floor(rest / samples.length);
    }
    table[row] = jsonLogic.truthy(jsonLogic.apply(text as RulesLogic, completion)) ? 1 : 0;
  }
  return table;
}
