import { reaches, type Rulebook } from '../rulebook/rulebook.ts';
import type { Did } from '../rulebook/schema.ts';
import { labelKind } from './blocks.ts';
import { type Clause, readClauses } from './clauses.ts';
import { addFollowing } from './follow.ts';
import { lendWords } from './lend.ts';
import { type Lexicon, lexiconOf } from './lexicon.ts';
import { findMentions, type Mention } from './mentions.ts';
import { propose, type Read, readMentions, type Sits } from './propose.ts';
import { PASS_WORDS, type Passed, type PassKind, type Proposal, type Reading, type ReadLine } from './reading.ts';
import { findStrangers, withoutModifiers } from './strangers.ts';
import type { Told } from './where.ts';
import { type Mended, readWords, type Word } from './words.ts';

const MOST_LINES = 2_000;
const MOST_CHARACTERS = 2_000;

/**
 * Reads pasted lines of a repair order: what work they name, and why the rest names none. Proposals only: each is for a
 * person to tick. Every line is read by itself.
 * @param market as in a job file; without it a driver's side is asked for
 */
export function readLines(text: string, rulebook: Rulebook, market?: string): Reading {
  const lexicon = lexiconOf(rulebook);
  if (!lexicon) return { lines: [], unread: 0 };
  const sides = lexicon.words['driver-sits'];
  const sits = market !== undefined && Object.hasOwn(sides, market) ? sides[market] : undefined;
  const all = text.split(/\r\n|[\n\r\u2028\u2029]/);
  const mended: Mended = new Map();
  const lines = all
    .slice(0, MOST_LINES)
    .flatMap((line, at) => (line.trim() === '' ? [] : [readLine(line, at + 1, lexicon, sits, mended)]));
  return { lines, unread: all.slice(MOST_LINES).filter((line) => line.trim() !== '').length };
}

function readLine(line: string, number: number, lexicon: Lexicon, sits: Sits, mended: Mended): ReadLine {
  const words = readWords(line.slice(0, MOST_CHARACTERS), lexicon, mended);
  const named = lendWords(words, withoutModifiers(words, findMentions(words, lexicon)), lexicon);
  const mentions = addFollowing(words, named, lexicon);
  const strangers = findStrangers(words, mentions, lexicon);
  const proposals: Proposal[] = [];
  const passed: Passed[] = [];
  const pass = (kind: PassKind, from: number, to: number): void => {
    passed.push({
      kind,
      because: PASS_WORDS[kind],
      words: { from: (words[from] as Word).from, to: (words[to] as Word).to },
    });
  };
  let open: Read | undefined;
  let label: ReturnType<typeof labelKind>;
  const toldOf = new Map<string, Told>();
  for (const clause of readClauses(words, mentions, lexicon)) {
    const later = verbsAlone(clause);
    if (open && later.length > 0) {
      // "found belt cracked. replaced."
      const made = propose({ ...open, said: { verbs: later, shared: true }, block: undefined }, words, lexicon, sits);
      if (typeof made !== 'string') {
        proposals.push(...made);
        passed.pop();
      }
      open = undefined;
      continue;
    }
    for (const read of readMentions(words, clause, label, lexicon)) {
      const stranger = strangers.get(read.mention);
      const from = read.mention.used[0] as number;
      if (stranger !== undefined) {
        pass(read.block ?? read.mention.passes ?? 'unknown-part', from, stranger);
        continue;
      }
      const made = propose(placed(read, toldOf), words, lexicon, sits);
      if (typeof made === 'string') {
        pass(made, from, read.mention.used.at(-1) as number);
        open = made === 'finding' ? read : undefined;
      } else proposals.push(...made);
    }
    passUnknown(clause, words, pass);
    label = labelKind(clause);
  }
  if (line.length > MOST_CHARACTERS)
    passed.push({
      kind: 'too-long',
      because: PASS_WORDS['too-long'],
      words: { from: MOST_CHARACTERS, to: line.length },
    });
  if (proposals.length === 0 && passed.length === 0) passed.push(wholeLine(line, words, mentions, lexicon));
  return { number, text: line, proposals: unlike(proposals), passed };
}

/** "LF bearing noisy. Replaced hub.": where a part is, it was said before in the line. */
function placed(read: Read, toldOf: Map<string, Told>): Read {
  const part = read.mention.parts.join();
  const before = toldOf.get(part);
  if (read.told.at.length > 0 && part !== '') toldOf.set(part, read.told);
  return read.told.at.length > 0 || !before ? read : { ...read, told: { ...before, guessed: true } };
}

/** The verbs of a clause that holds nothing else. */
function verbsAlone({ pieces }: Clause): number[] {
  if (pieces.some(({ mentions, others }) => mentions.length > 0 || others.length > 0)) return [];
  return pieces.flatMap(({ verbs }) => verbs);
}

/** Pieces in which something was done to what we do not know. */
function passUnknown(
  { pieces }: Clause,
  words: readonly Word[],
  pass: (kind: PassKind, from: number, to: number) => void,
): void {
  for (const { mentions, verbs, others, marks } of pieces) {
    if (mentions.length > 0 || others.length === 0) continue;
    const worked = verbs.some((at) => words[at]?.verb?.did !== 'inspected');
    const from = Math.min(...verbs, ...others);
    const to = Math.max(...verbs, ...others);
    if (marks.length > 0) pass(marks[0]?.kind ?? 'no-work', from, to);
    else if (worked) pass('unknown-part', from, to);
  }
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
function wholeLine(line: string, words: readonly Word[], mentions: readonly Mention[], lexicon: Lexicon): Passed {
  const kinds = new Set(
    readClauses(words, mentions, lexicon).flatMap(({ pieces }) =>
      pieces.flatMap(({ marks }) => marks.map(({ kind }) => kind)),
    ),
  );
  const kind = words.every((word) => word.kind === 'mark')
    ? 'heading'
    : (ORDER.find((one) => kinds.has(one as never)) ?? 'no-work');
  return { kind, because: PASS_WORDS[kind], words: { from: 0, to: line.length } };
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
    const stays = kept.filter((other) => !(same(other) && weaker(other, one)));
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
