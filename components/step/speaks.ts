import type { KnownTrait } from '../../src/resolve/facts.ts';
import { type Condition, compileCondition, NEVER, range, SURELY } from '../../src/rulebook/condition.ts';
import type { Domain } from '../../src/rulebook/domain.ts';
import type { Scope } from '../../src/rulebook/schema.ts';

/** One car and the domains of its traits, as far as they are known. */
export interface Car {
  readonly known: ReadonlyMap<string, KnownTrait>;
  readonly domains: ReadonlyMap<string, Domain>;
}

interface Conditional {
  readonly if?: unknown;
  readonly scope?: Scope | undefined;
}

/** Whether a text with a condition speaks of this car: "perhaps" while an unknown decides. */
export function speaks(text: Conditional, car: Car): 'yes' | 'no' | 'perhaps' {
  const answers = [text.if, scopeLogic(text.scope)]
    .filter((logic) => logic !== undefined)
    .map((logic) => settle(logic, car));
  if (answers.includes(NEVER)) return 'no';
  return answers.every((answer) => answer === SURELY) ? 'yes' : 'perhaps';
}

/** Those of a list that speak of this car, or may. */
export function speaking<T extends Conditional>(texts: readonly T[] | undefined, car: Car): T[] {
  return (texts ?? []).filter((text) => speaks(text, car) !== 'no');
}

/** Whose cars a scope speaks of, in words; '' = everybody's. */
export function whose(scope: Scope | undefined, makers: ReadonlyMap<string, string>): string {
  if (!scope) return '';
  const names = (scope.makers ?? []).map((id) => makers.get(id) ?? id).join(', ');
  const years = scope.years
    ? scope.years[0] === scope.years[1]
      ? `${scope.years[0]}`
      : `${scope.years[0]} to ${scope.years[1]}`
    : '';
  return [names, (scope.models ?? []).join(', '), years].filter(Boolean).join(' ');
}

// A rulebook is not changed in place, so its conditions are compiled once for each set of domains.
const compiled = new WeakMap<ReadonlyMap<string, Domain>, Map<string, Condition | undefined>>();

function settle(logic: unknown, { known, domains }: Car): number {
  const table = compiled.get(domains) ?? new Map<string, Condition | undefined>();
  compiled.set(domains, table);
  const key = JSON.stringify(logic);
  if (!table.has(key)) table.set(key, compileCondition(logic, domains, '', '', []));
  const condition = table.get(key);
  // What cannot be read is shown rather than hidden.
  return condition ? range(condition, (name) => known.get(name)?.values) : SURELY;
}

function scopeLogic(scope: Scope | undefined): unknown {
  if (!scope) return undefined;
  return {
    and: [
      ...(scope.makers ? [{ in: [{ var: 'maker' }, scope.makers] }] : []),
      ...(scope.models ? [{ in: [{ var: 'model' }, scope.models] }] : []),
      ...(scope.years
        ? [{ '>=': [{ var: 'model-year' }, scope.years[0]] }, { '<=': [{ var: 'model-year' }, scope.years[1]] }]
        : []),
    ],
  };
}
