import type { Complaint, Phrase, Signs } from './signs.ts';

/** How well a complaint is told by the words of one cause. */
export interface Likeness {
  readonly value: number;
  /** The phrase that is nearest, and the place of its row. */
  readonly nearest?: Phrase;
  /** Share of the complaint's known words that this cause speaks of, 0 to 1. */
  readonly share: number;
  /** Terms of the complaint that it speaks of. */
  readonly terms: readonly string[];
}

/** A phrase counts less the more of it is missing from the complaint. */
const MISSING = 0.8;
/** What the cause's other phrases add. */
const OTHERS = 0.3;

export function likeness(complaint: Complaint, phrases: readonly Phrase[], signs: Signs): Likeness {
  let nearest: Phrase | undefined;
  let best = 0;
  const covered = new Map<string, number>();
  for (const phrase of phrases) {
    const met = meet(complaint, phrase, signs, covered);
    const value = phrase.full === 0 ? 0 : met * (met / phrase.full) ** MISSING;
    if (value > best) [nearest, best] = [phrase, value];
  }
  const spoken = [...covered.values()].reduce((sum, weight) => sum + weight, 0);
  const own = nearest ? meet(complaint, nearest, signs) : 0;
  return {
    value: best + OTHERS * Math.max(0, spoken - own),
    ...(nearest ? { nearest } : {}),
    share: complaint.full === 0 ? 0 : Math.min(1, spoken / complaint.full),
    terms: [...covered.keys()].sort(),
  };
}

function meet(complaint: Complaint, phrase: Phrase, signs: Signs, covered?: Map<string, number>): number {
  let sum = 0;
  for (const [term, weight] of phrase.terms) {
    const said = complaint.terms.get(term);
    if (said === undefined) continue;
    const both = Math.min(said, weight) * signs.weight(term);
    sum += both;
    covered?.set(term, Math.max(covered.get(term) ?? 0, both));
  }
  return sum;
}
