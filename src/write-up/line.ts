import { reaches } from '../rulebook/rulebook.ts';
import type { Did } from '../rulebook/schema.ts';
import { type Clause, readClauses } from './clauses.ts';
import { addFollowing } from './follow.ts';
import { lendWords } from './lend.ts';
import type { Lexicon } from './lexicon.ts';
import { findMentions, type Mention } from './mentions.ts';
import { type Label, labelOf, propose, type Read, readMentions, type Sits } from './propose.ts';
import { PASS_WORDS, type Passed, type PassKind, type Proposal, type ReadLine } from './reading.ts';
import { findStrangers, withoutModifiers } from './strangers.ts';
import type { Told } from './where.ts';
import { type Mended, readWords, type Word } from './words.ts';

const MOST_CHARACTERS = 2_000;

/** Reads one line by itself. */
export function readLine(text: string, number: number, lexicon: Lexicon, sits: Sits, mended: Mended): ReadLine {
  const words = readWords(text.slice(0, MOST_CHARACTERS), lexicon, mended);
  const named = lendWords(words, withoutModifiers(words, findMentions(words, lexicon)), lexicon);
  const mentions = addFollowing(words, named, lexicon);
  const clauses = readClauses(words, mentions, lexicon);
  const found = new Found(words, lexicon, sits, findStrangers(words, mentions, lexicon));
  let label: Label = {};
  for (const clause of clauses) {
    if (found.settle(clause)) continue;
    found.take(clause, label);
    label = labelOf(words, clause);
  }
  const passed = [...found.passed];
  if (text.length > MOST_CHARACTERS) passed.push(passOf('too-long', { from: MOST_CHARACTERS, to: text.length }));
  if (found.proposals.length === 0 && passed.length === 0)
    passed.push(passOf(wholeLine(words, clauses), { from: 0, to: text.length }));
  return { number, text, proposals: unlike(found.proposals), passed };
}

function passOf(kind: PassKind, words: Passed['words']): Passed {
  return { kind, because: PASS_WORDS[kind], words };
}

/** What the clauses of a line come to. */
class Found {
  readonly proposals: Proposal[] = [];
  passed: readonly Passed[] = [];
  /** A part that was found wanting, and waits for what was done to it. */
  private open: { readonly read: Read; readonly passed: Passed } | undefined;
  private readonly toldOf = new Map<string, Told>();
  private readonly named = new Set<string>();

  constructor(
    private readonly words: readonly Word[],
    private readonly lexicon: Lexicon,
    private readonly sits: Sits,
    private readonly strangers: ReadonlyMap<Mention, number>,
  ) {}

  /** "found belt cracked. replaced.": a clause of verbs alone settles what waits; false: it is none. */
  settle(clause: Clause): boolean {
    const verbs = verbsAlone(clause);
    if (!this.open || verbs.length === 0) return false;
    const { read, passed } = this.open;
    this.open = undefined;
    const made = propose(
      { ...read, said: { verbs, shared: true }, block: undefined },
      this.words,
      this.lexicon,
      this.sits,
    );
    if (typeof made === 'string') return true;
    this.proposals.push(...made);
    this.passed = this.passed.filter((other) => other !== passed);
    return true;
  }

  take(clause: Clause, label: Label): void {
    for (const read of readMentions(this.words, clause, label, this.lexicon)) {
      const stranger = this.strangers.get(read.mention);
      const [from, to] = [read.mention.used[0] as number, read.mention.used.at(-1) as number];
      if (stranger !== undefined) {
        this.pass(read.block ?? read.mention.passes ?? 'unknown-part', from, stranger);
        continue;
      }
      const made = propose(this.placed(this.narrowed(read)), this.words, this.lexicon, this.sits);
      if (typeof made !== 'string') {
        this.proposals.push(...made);
        continue;
      }
      const passed = this.pass(made, from, to);
      this.open = made === 'finding' ? { read, passed } : undefined;
    }
    this.passUnknown(clause);
  }

  /** "rear CV boot split - replaced boot": of several parts of one name the one that the line has named before. */
  private narrowed(read: Read): Read {
    const { parts } = read.mention;
    const before = parts.filter((part) => this.named.has(part));
    const [only] = parts.length > 1 ? before : parts;
    if (only === undefined || (parts.length > 1 && before.length > 1)) return read;
    this.named.add(only);
    return { ...read, mention: { ...read.mention, parts: [only] } };
  }

  /** "LF bearing noisy. Replaced hub.": where a part is, it was said before in the line. */
  private placed(read: Read): Read {
    const part = read.mention.parts.join();
    const before = this.toldOf.get(part);
    if (read.told.at.length > 0 && part !== '') this.toldOf.set(part, read.told);
    return read.told.at.length > 0 || !before ? read : { ...read, told: { ...before, guessed: true } };
  }

  /** Pieces in which something was done to what we do not know. */
  private passUnknown({ pieces }: Clause): void {
    for (const { mentions, verbs, others, marks } of pieces) {
      if (mentions.length > 0 || others.length === 0) continue;
      const worked = verbs.some((at) => this.words[at]?.verb?.did !== 'inspected');
      const kind = marks[0]?.kind ?? (worked ? 'unknown-part' : undefined);
      if (kind) this.pass(kind, Math.min(...verbs, ...others), Math.max(...verbs, ...others));
    }
  }

  private pass(kind: PassKind, from: number, to: number): Passed {
    const passed = passOf(kind, { from: (this.words[from] as Word).from, to: (this.words[to] as Word).to });
    this.passed = [...this.passed, passed];
    return passed;
  }
}

/** The verbs of a clause that holds nothing else. */
function verbsAlone({ pieces }: Clause): number[] {
  if (pieces.some(({ mentions, others }) => mentions.length > 0 || others.length > 0)) return [];
  return pieces.flatMap(({ verbs }) => verbs);
}

// What a line that names no part is taken for, the most telling first.
const ORDER: readonly PassKind[] = [
  'declined',
  'advice',
  'complaint',
  'follow-up',
  'sum',
  'price',
  'no-work',
  'finding',
  'heading',
];

/** Why a line that names no part gives nothing. */
function wholeLine(words: readonly Word[], clauses: readonly Clause[]): PassKind {
  if (words.every((word) => word.kind === 'mark')) return 'heading';
  const kinds = new Set<PassKind>(
    clauses.flatMap(({ pieces }) => pieces.flatMap(({ marks }) => marks.map(({ kind }) => kind))),
  );
  return ORDER.find((kind) => kinds.has(kind)) ?? 'no-work';
}

/** Said twice in a line is one; of a part that was replaced nobody needs to be told that it came off, or was looked at. */
function unlike(proposals: readonly Proposal[]): Proposal[] {
  const kept: Proposal[] = [];
  for (const one of proposals) {
    const same = (other: Proposal) =>
      other.part !== null && other.part === one.part && other.at.join() === one.at.join();
    const weaker = (a: Proposal, b: Proposal) =>
      b.did !== null && a.did !== b.did && (a.did === null || covers(b.did, a.did));
    if (kept.some((other) => same(other) && (other.did === one.did || weaker(one, other)))) continue;
    // "u-joint, rear driveshaft": the one that says where tells more of the same.
    const placed = (a: Proposal, b: Proposal) =>
      a.part !== null && a.part === b.part && a.did === b.did && a.at.length === 0 && b.at.length > 0;
    if (kept.some((other) => placed(one, other))) continue;
    const stays = kept.filter((other) => !placed(other, one)).filter((other) => !(same(other) && weaker(other, one)));
    kept.splice(0, kept.length, ...stays, one);
  }
  // "u-joint, rear driveshaft": of a name with several parts the one that the line has named already.
  const named = (one: Proposal) => one.asks.find(({ about }) => about === 'part')?.choices ?? [];
  return kept.filter(
    (one) => !kept.some(({ part, did }) => part !== null && did === one.did && named(one).includes(part)),
  );
}

function covers(strong: Did, weak: Did): boolean {
  return weak === 'inspected' || reaches(strong, weak);
}
