import { type Condition, compileCondition, EITHER, type Range, SURELY } from '../rulebook/condition.ts';
import { scopeRank } from '../rulebook/compile.ts';
import type { Domain } from '../rulebook/domain.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Limit, Reading, Scope } from '../rulebook/schema.ts';
import type { Resolution } from '../resolve/resolve.ts';
import type { z } from 'zod';

type LimitText = z.infer<typeof Limit>;
interface Conditional {
  readonly if?: unknown;
  readonly scope?: Scope | undefined;
}

/** Whether a text with a condition speaks of this car: NEVER, SURELY, or EITHER while an unknown decides. */
export function speaks(text: Conditional, { known, rulebook }: Resolution): Range {
  return known.all(
    [text.if, scopeLogic(text.scope)].flatMap((logic) => (logic === undefined ? [] : [condition(logic, rulebook)])),
  );
}

/**
 * The limits to judge by: of those that surely speak of this car, the ones whose scope is the narrowest. While another
 * one may still outrank them, none: what is not known must not pass a reading.
 */
export function limitsFor(reading: Reading, resolution: Resolution): readonly LimitText[] {
  const may = (reading.limits ?? []).map((limit) => ({
    limit,
    range: speaks(limit, resolution),
    rank: scopeRank(limit.scope),
  }));
  const sure = may.filter(({ range }) => range === SURELY);
  const rank = Math.max(-1, ...sure.map((s) => s.rank));
  if (may.some((m) => m.range === EITHER && m.rank > rank)) return [];
  return sure.filter((s) => s.rank === rank).map((s) => s.limit);
}

// A rulebook is not changed in place, so each condition is compiled once for its domains.
const compiled = new WeakMap<ReadonlyMap<string, Domain>, Map<string, Condition>>();

function condition(logic: unknown, { domains }: Rulebook): Condition {
  const table = compiled.get(domains) ?? new Map<string, Condition>();
  compiled.set(domains, table);
  const key = JSON.stringify(logic);
  const had = table.get(key);
  if (had) return had;
  const made = compileCondition(logic, domains, '', '', []);
  if (!made) throw new Error(`condition of a reading cannot be read: ${key}`);
  table.set(key, made);
  return made;
}

function scopeLogic(scope: Scope | undefined): unknown {
  if (!scope) return undefined;
  const { makers, models, years } = scope;
  return {
    and: [
      ...(makers ? [{ in: [{ var: 'maker' }, makers] }] : []),
      ...(models ? [{ in: [{ var: 'model' }, models] }] : []),
      ...(years ? [{ '>=': [{ var: 'model-year' }, years[0]] }, { '<=': [{ var: 'model-year' }, years[1]] }] : []),
    ],
  };
}
