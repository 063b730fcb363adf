import { distance } from 'fastest-levenshtein';
import type { FollowUp, Rulebook } from '../../rulebook/rulebook.ts';
import type { ComplaintsFile, ElsewhereRow } from '../../rulebook/tables.ts';
import { type Said, Words } from './words.ts';

/** A sign ("#idle") or a word that is none, and how much it counts. */
export type Terms = ReadonlyMap<string, number>;

export interface Phrase {
  readonly text: string;
  readonly terms: Terms;
  /** Sum over its terms of weight times rarity. */
  readonly full: number;
  /** Place in the follow-up's `skipped`; -1 = its name. */
  readonly row: number;
}

export interface Complaint {
  readonly terms: Terms;
  /** How much of it is known to the rulebook's words, as a sum like a phrase's `full`. */
  readonly full: number;
  /** Words that no rule uses. */
  readonly unknown: readonly string[];
}

const DENIALS = new Set(['not', 'no', 'without', 'never']);
/** A word that is no sign tells less. */
const PLAIN = 0.6;
/** A name is the shop's word, seldom the customer's. */
const NAME = 0.75;

/** Turns words into signs and weighs them by how few follow-ups they speak of. */
export class Signs {
  readonly followUps: ReadonlyMap<string, readonly Phrase[]>;
  readonly elsewhere: ReadonlyMap<string, readonly Phrase[]>;
  private readonly words: Words;
  private readonly joining: ReadonlySet<string>;
  private readonly deniable: ReadonlySet<string>;
  private readonly heads = new Map<string, { readonly words: readonly string[]; readonly sign: string }[]>();
  private readonly stems = new Set<string>();
  private readonly rarity = new Map<string, number>();

  constructor(table: ComplaintsFile, rulebook: Rulebook) {
    this.words = new Words(table);
    this.joining = new Set(table.joining);
    this.deniable = new Set(table.deniable.map((sign) => `#${sign}`));
    for (const [sign, phrases] of Object.entries(table.signs))
      for (const phrase of phrases) this.learn(this.words.phrase(phrase), `#${sign}`);
    for (const list of this.heads.values()) list.sort((a, b) => b.words.length - a.words.length);
    const raw = new Map<string, RawPhrase[]>();
    for (const followUp of rulebook.followUps.values()) raw.set(followUp.id, this.ofFollowUp(followUp));
    const other = Object.entries(table.elsewhere).map(([id, row]): [string, RawPhrase[]] => [
      id,
      this.ofElsewhere(row),
    ]);
    this.count([...raw.values(), ...other.map(([, phrases]) => phrases)]);
    this.followUps = new Map([...raw].map(([id, phrases]) => [id, phrases.map((p) => this.weighed(p))]));
    this.elsewhere = new Map(other.map(([id, phrases]) => [id, phrases.map((p) => this.weighed(p))]));
  }

  complaint(text: string): Complaint {
    const unknown: string[] = [];
    const terms = new Map<string, number>();
    for (const clause of this.words.clauses(text))
      for (const { term, weight } of this.termsOf(clause.map((said) => this.mended(said, unknown)).flat()))
        terms.set(term, Math.max(terms.get(term) ?? 0, weight));
    return { terms, full: this.sum(terms), unknown: [...new Set(unknown)] };
  }

  weight(term: string): number {
    return (this.rarity.get(term) ?? 0) * (term.startsWith('#') ? 1 : PLAIN);
  }

  private sum(terms: Terms): number {
    return [...terms].reduce((sum, [term, weight]) => sum + weight * this.weight(term), 0);
  }

  private learn(words: readonly string[], sign: string): void {
    const first = words[0];
    if (first === undefined) return;
    const list = this.heads.get(first);
    if (list) list.push({ words, sign });
    else this.heads.set(first, [{ words, sign }]);
    for (const word of words) this.stems.add(word);
  }

  /** The longest run of words that is a sign; all signs that such a run has. */
  private termsOf(clause: readonly Said[]): { term: string; weight: number }[] {
    const found: { term: string; weight: number }[] = [];
    for (let at = 0; at < clause.length; ) {
      const runs = this.heads.get((clause[at] as Said).stem) ?? [];
      const fits = runs.filter(({ words }) => words.every((word, i) => clause[at + i]?.stem === word));
      const longest = fits[0]?.words.length ?? 0;
      if (longest === 0) {
        const { stem, weight } = clause[at] as Said;
        if (!this.joining.has(stem)) found.push({ term: stem, weight });
        at++;
        continue;
      }
      const weight = Math.max(...clause.slice(at, at + longest).map((said) => said.weight));
      const denied = DENIALS.has(clause[at - 1]?.stem ?? '');
      for (const { words, sign } of fits)
        if (words.length === longest && !(denied && this.deniable.has(sign))) found.push({ term: sign, weight });
      at += longest;
    }
    return found;
  }

  /** A misspelt word of some length becomes the one known word that it nearly is. */
  private mended(said: Said, unknown: string[]): Said[] {
    const { stem, weight } = said;
    if (this.stems.has(stem) || this.rarity.has(stem) || /\d/.test(stem) || stem.length < 3) return [said];
    const most = stem.length >= 8 ? 2 : stem.length >= 5 ? 1 : 0;
    const near = most === 0 ? [] : [...this.stems].filter((known) => closeTo(stem, known, most)).sort();
    if (near.length === 0) {
      unknown.push(stem);
      return [];
    }
    const nearest = near.sort((a, b) => distance(stem, a) - distance(stem, b) || (a < b ? -1 : 1))[0] as string;
    return [{ stem: nearest, weight: weight * 0.8 }];
  }

  private ofFollowUp({ title, text }: FollowUp): RawPhrase[] {
    const names = [title, ...(text.aka ?? [])].map((name) => this.raw(name, -1, NAME));
    const rows = text.skipped.flatMap(({ notice, said }, row) =>
      [...notice.split(/[,;]/), ...(said ?? [])].map((words) => this.raw(words, row, 1)),
    );
    return [...rows, ...names].filter((phrase) => phrase.terms.size > 0);
  }

  private ofElsewhere({ title, said }: ElsewhereRow): RawPhrase[] {
    return [...said.map((words) => this.raw(words, 0, 1)), this.raw(title, -1, NAME)].filter((p) => p.terms.size > 0);
  }

  private raw(text: string, row: number, most: number): RawPhrase {
    const terms = new Map<string, number>();
    for (const clause of this.words.clauses(text)) {
      for (const { stem } of clause) this.stems.add(stem);
      for (const { term, weight } of this.termsOf(clause))
        terms.set(term, Math.max(terms.get(term) ?? 0, weight * most));
    }
    return { text: text.trim(), terms, row };
  }

  private count(documents: readonly (readonly RawPhrase[])[]): void {
    const seen = new Map<string, number>();
    for (const phrases of documents) {
      const terms = new Set(phrases.flatMap(({ terms: own }) => [...own.keys()]));
      for (const term of terms) seen.set(term, (seen.get(term) ?? 0) + 1);
    }
    for (const [term, count] of seen) this.rarity.set(term, Math.log((documents.length + 1) / (count + 0.5)));
  }

  private weighed(phrase: RawPhrase): Phrase {
    return { ...phrase, full: this.sum(phrase.terms) };
  }
}

type RawPhrase = Omit<Phrase, 'full'>;

function closeTo(word: string, known: string, most: number): boolean {
  return (
    Math.abs(word.length - known.length) <= most &&
    known.length >= 4 &&
    word[0] === known[0] &&
    distance(word, known) <= most
  );
}

// A rulebook is not changed in place, so its words are counted once.
const made = new WeakMap<Rulebook, Signs>();

/** Throws where the rulebook has no table of complaints. */
export function signsOf(rulebook: Rulebook): Signs {
  const had = made.get(rulebook);
  if (had) return had;
  if (!rulebook.complaints) throw new Error('this rulebook has no complaints.json: complaints can not be read with it');
  const signs = new Signs(rulebook.complaints, rulebook);
  made.set(rulebook, signs);
  return signs;
}
