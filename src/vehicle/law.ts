import { conditionHolds, type LawFacts, type Missing, type Verdict } from './law-conditions.ts';
import { startHolds } from './law-start.ts';
import type { MandateRow, Mandates, Market } from './schema.ts';

export type { LawFacts, Missing } from './law-conditions.ts';

export interface SettledTrait {
  readonly trait: string;
  /** The law says that the vehicle has it; of which kind it never says. */
  readonly has: true;
  readonly row: string;
  readonly source: string;
  readonly basis: 'read' | 'memory';
  readonly caveat: string | null;
}

export interface OpenTrait {
  readonly trait: string;
  readonly row: string;
  /** Facts that would settle the row, in the order in which they are best asked. */
  readonly missing: readonly Missing[];
}

export interface LawReading {
  readonly settled: readonly SettledTrait[];
  readonly open: readonly OpenTrait[];
  /** Traits that one might expect of the law in this market and that it leaves open. */
  readonly silent: Mandates['silent'];
  readonly notes: Mandates['notes'];
}

/**
 * What the law says a vehicle has. A trait is settled only if every condition of one of its rows is known and holds;
 * a row with an unknown condition and none that fails is open, with what is missing; any other row says nothing.
 * Independent of the order of rows. Throws a RangeError on a date that is not written as 2011-09-01.
 */
export function lawTraits(mandates: Mandates, facts: LawFacts): LawReading {
  const judged = mandates.rows.map((row) => ({ row, verdict: judge(row, facts) }));
  const holding = judged.filter(({ verdict }) => verdict.holds === true).map(({ row }) => row);
  const settled = [...byTrait(holding).values()].map((rows) => settle(rows));
  const known = new Set(settled.map(({ trait }) => trait));
  const open = judged
    .filter(({ row, verdict }) => verdict.holds === undefined && !known.has(row.trait))
    .map(({ row, verdict }) => ({ trait: row.trait, row: row.id, missing: verdict.missing }));
  const speaksHere = ({ market }: { market: Market }) => marketHolds(market, facts.market).holds === true;
  return {
    settled: settled.sort(byTraitAndRow),
    open: open.sort(byTraitAndRow),
    silent: mandates.silent.filter((row) => speaksHere(row) && !known.has(row.trait)),
    notes: mandates.notes.filter(speaksHere),
  };
}

function judge(row: MandateRow, facts: LawFacts): Verdict {
  const verdicts = [
    marketHolds(row.market, facts.market),
    startHolds(row.from, facts),
    ...conditionHolds(row.when, facts),
  ];
  if (verdicts.some(({ holds }) => holds === false)) return { holds: false, missing: [] };
  const missing = [...new Set(verdicts.flatMap((verdict) => verdict.missing))];
  return missing.length > 0 ? { holds: undefined, missing } : { holds: true, missing };
}

// A vehicle known only as American may be Californian; one known as Californian is American.
function marketHolds(row: Market, market: Market | null | undefined): Verdict {
  if (market === null || market === undefined) return { holds: undefined, missing: ['market'] };
  if (market === row || market.startsWith(`${row}-`)) return { holds: true, missing: [] };
  return row.startsWith(`${market}-`) ? { holds: undefined, missing: ['market'] } : { holds: false, missing: [] };
}

// A row that was read speaks before one from memory.
function settle(rows: readonly MandateRow[]): SettledTrait {
  const best = [...rows].sort((a, b) => compare(b.basis, a.basis) || compare(a.id, b.id))[0] as MandateRow;
  return {
    trait: best.trait,
    has: true,
    row: best.id,
    source: best.source,
    basis: best.basis,
    caveat: best.caveat ?? null,
  };
}

function byTrait(rows: readonly MandateRow[]): Map<string, MandateRow[]> {
  const groups = new Map<string, MandateRow[]>();
  for (const row of rows) groups.set(row.trait, [...(groups.get(row.trait) ?? []), row]);
  return groups;
}

function byTraitAndRow(a: { trait: string; row: string }, b: { trait: string; row: string }): number {
  return compare(a.trait, b.trait) || compare(a.row, b.row);
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
