import jsonLogic from 'json-logic-js';
import type { RulesLogic } from 'json-logic-js';
import { type Cells, cut, type Domain, type Value } from './domain.ts';
import { type Fault, nearestName, pointer } from './fault.ts';

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
const MOST_DEPTH = 24;
const MOST_NODES = 400;
const COMPARISONS = ['==', '!=', '<', '<=', '>', '>='];
const OPERATORS = ['var', '==', '!=', '!', 'and', 'or', 'in', '<', '<=', '>', '>='];
const FORBIDDEN = ['__proto__', 'constructor', 'prototype'];

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
  const check = new Check(domains, file, faults);
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

/** Walks a condition as written against the grammar; collects literals per variable and every fault, not only the first. */
class Check {
  readonly constants = new Map<string, Set<Value>>();
  found = false;
  private nodes = 0;

  constructor(
    private readonly domains: ReadonlyMap<string, Domain>,
    private readonly file: string,
    private readonly faults: Fault[],
  ) {}

  node(text: unknown, at: string, depth: number): void {
    if (typeof text === 'boolean') return;
    if (depth > MOST_DEPTH) return this.fault(at, `nested deeper than ${MOST_DEPTH} levels`);
    if (++this.nodes > MOST_NODES)
      return this.nodes === MOST_NODES + 1
        ? this.fault(at, `more than ${MOST_NODES} nodes in one condition`)
        : undefined;
    if (typeof text !== 'object' || text === null || Array.isArray(text)) {
      return this.fault(
        at,
        'is not a condition',
        text,
        'write an operator such as {"==": [{"var": "a-trait"}, "a-value"]}',
      );
    }
    const keys = Object.keys(text);
    const [operator] = keys;
    if (keys.length !== 1 || operator === undefined) {
      return this.fault(
        at,
        `has ${keys.length} operators in one node`,
        keys,
        'one operator a node; join them with "and"',
      );
    }
    if (FORBIDDEN.includes(operator)) return this.fault(at, 'forbidden key', operator);
    const argument = (text as Record<string, unknown>)[operator];
    const inside = at + pointer(operator);
    if (operator === 'and' || operator === 'or') return this.list(argument, inside, depth);
    if (operator === '!') return this.negation(argument, inside, depth);
    if (operator === 'in') return this.membership(argument, inside);
    if (COMPARISONS.includes(operator)) return this.comparison(operator, argument, inside);
    if (operator === 'var')
      return this.fault(at, 'a trait alone is no condition', text, 'compare it with one of its values');
    this.fault(at, 'unknown operator', operator, `allowed: ${OPERATORS.join(' ')}`, nearestName(operator, OPERATORS));
  }

  private list(argument: unknown, at: string, depth: number): void {
    if (!Array.isArray(argument) || argument.length === 0)
      return this.fault(at, 'wants a list of at least one condition', argument);
    argument.forEach((part, i) => this.node(part, at + pointer(i), depth + 1));
  }

  private negation(argument: unknown, at: string, depth: number): void {
    if (!Array.isArray(argument)) return this.node(argument, at, depth + 1);
    if (argument.length !== 1) return this.fault(at, 'wants one condition', argument);
    this.node(argument[0], `${at}/0`, depth + 1);
  }

  private membership(argument: unknown, at: string): void {
    if (!Array.isArray(argument) || argument.length !== 2 || !Array.isArray(argument[1]) || argument[1].length === 0) {
      return this.fault(at, 'wants [{"var": trait}, [values]]', argument);
    }
    const trait = this.trait(argument[0], `${at}/0`);
    if (trait) argument[1].forEach((value, i) => this.literal(trait, value, `${at}/1/${i}`));
  }

  private comparison(operator: string, argument: unknown, at: string): void {
    if (!Array.isArray(argument) || argument.length !== 2)
      return this.fault(at, 'wants [{"var": trait}, value]', argument);
    const swapped = !isVar(argument[0]) && isVar(argument[1]);
    const [left, right] = swapped ? [1, 0] : [0, 1];
    const trait = this.trait(argument[left], `${at}/${left}`);
    if (!trait) return;
    if (operator !== '==' && operator !== '!=' && this.domains.get(trait)?.kind !== 'number') {
      return this.fault(at, `\`${operator}\` compares numbers, and \`${trait}\` is not a number`);
    }
    this.literal(trait, argument[right], `${at}/${right}`);
  }

  private trait(text: unknown, at: string): string | undefined {
    if (!isVar(text)) {
      this.fault(at, 'wants {"var": trait}', text);
      return undefined;
    }
    const name = text.var;
    if (typeof name !== 'string' || FORBIDDEN.includes(name)) {
      this.fault(`${at}/var`, typeof name === 'string' ? 'forbidden path' : 'a trait is named by a word', name);
      return undefined;
    }
    if (!this.domains.has(name)) {
      this.fault(`${at}/var`, 'unknown trait', name, undefined, nearestName(name, this.domains.keys()));
      return undefined;
    }
    if (!this.constants.has(name)) this.constants.set(name, new Set());
    return name;
  }

  private literal(trait: string, value: unknown, at: string): void {
    const domain = this.domains.get(trait) as Domain;
    const problem = outside(domain, value);
    if (problem)
      return this.fault(
        at,
        `${problem} for trait \`${trait}\``,
        value,
        undefined,
        typeof value === 'string' && domain.kind === 'values' ? nearestName(value, domain.values) : undefined,
      );
    this.constants.get(trait)?.add(value as Value);
  }

  private fault(at: string, message: string, value?: unknown, hint?: string, nearest?: string): void {
    this.found = true;
    this.faults.push({
      file: this.file,
      pointer: at,
      message,
      ...(value === undefined ? {} : { value }),
      ...(hint === undefined ? {} : { hint }),
      ...(nearest === undefined ? {} : { nearest }),
    });
  }
}

/** Why `value` cannot be of `domain`, or undefined if it can. */
export function outside(domain: Domain, value: unknown): string | undefined {
  if (domain.kind === 'values') {
    return typeof value === 'string' && domain.values.includes(value)
      ? undefined
      : `is not one of ${domain.values.join(', ')}`;
  }
  if (domain.kind === 'open')
    return typeof value === 'string' && /^[a-z0-9-]+$/.test(value) ? undefined : 'is not a lower-case word';
  if (typeof value !== 'number' || !Number.isFinite(value)) return 'is not a number';
  if (domain.integer && !Number.isInteger(value)) return 'is not a whole number';
  return value < domain.min || value > domain.max ? `is outside ${domain.min} to ${domain.max}` : undefined;
}

function isVar(text: unknown): text is { var: unknown } {
  return (
    typeof text === 'object' &&
    text !== null &&
    !Array.isArray(text) &&
    Object.keys(text).length === 1 &&
    Object.hasOwn(text, 'var')
  );
}
