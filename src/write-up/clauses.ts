import type { PASSES } from '../rulebook/tables.ts';
import type { Lexicon, PassPhrase } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

/** How a piece hangs on the one before it. */
export type Link = 'start' | 'begin' | 'comma' | 'and';

export interface PassMark {
  readonly kind: (typeof PASSES)[number];
  /** Index of its first word. */
  readonly at: number;
}

/** What stands between two commas or "and"s. Numbers are indexes into the line's words. */
export interface Piece {
  readonly link: Link;
  readonly from: number;
  readonly to: number;
  readonly mentions: readonly Mention[];
  readonly verbs: readonly number[];
  readonly places: readonly number[];
  readonly marks: readonly PassMark[];
  /** Words that say nothing to us. */
  readonly others: readonly number[];
}

/** What stands between two full stops. */
export interface Clause {
  readonly pieces: readonly Piece[];
  /** It ends with a question mark. */
  readonly asks: boolean;
  /** It ends with a colon. */
  readonly label: boolean;
}

const STOPS = new Set(['.', ';', '!', '?', ':', '|', '•', '*', '·', '—']);
const COMMAS = new Set([',', '(', ')', '-', '–', '[', ']', '=', '>', '"']);
const ANDS = new Set(['and', '&', '/', 'plus', 'with', 'w']);

/** A line as clauses of pieces. */
export function readClauses(words: readonly Word[], mentions: readonly Mention[], lexicon: Lexicon): Clause[] {
  const marks = findMarks(words, mentions, lexicon);
  // "no fault found with": nothing is cut within a set phrase.
  const inside = new Set([
    ...mentions.flatMap(({ used }) => within(used)),
    ...[...marks].flatMap(([at, { words: own }]) => (own.length > 1 ? own.map((_, i) => at + i) : [])),
  ]);
  const clauses: Clause[] = [];
  let pieces: Piece[] = [];
  let [from, link]: [number, Link] = [0, 'start'];
  const cut = (to: number, next: Link): void => {
    if (to > from) pieces.push(piece(words, { link, from, to }, mentions, marks, lexicon));
    link = to > from || (link === 'and' && next !== 'and') ? next : link;
    from = to;
  };
  const close = (to: number, mark: string): void => {
    cut(to, 'start');
    link = 'start';
    if (pieces.length > 0) clauses.push({ pieces, asks: mark === '?', label: mark === ':' });
    pieces = [];
  };
  for (const [at, word] of words.entries()) {
    const next = separator(words, at, inside.has(at), lexicon);
    if (next === undefined) continue;
    if (next === 'stop') close(at, word.text);
    else cut(at, next);
    // The separator itself belongs to no piece, a word that begins one does.
    if (next !== 'begin') from = at + 1;
  }
  close(words.length, '');
  return clauses;
}

function separator(
  words: readonly Word[],
  at: number,
  inside: boolean,
  { begins }: Lexicon,
): Link | 'stop' | undefined {
  const word = words[at] as Word;
  if (inside) return undefined;
  // "repl. frt. brk. pads": such a stop ends a word, not a sentence.
  if (word.text === '.' && words[at - 1]?.short && words[at + 1]?.capital === false) return undefined;
  // "no.2"
  if (word.text === '.' && words[at + 1]?.kind === 'number' && words[at + 1]?.from === word.to) return undefined;
  if (STOPS.has(word.text)) return 'stop';
  // "1) ... 2) ..."
  if (word.text === ')' && words[at - 1]?.kind === 'number' && words[at - 2]?.text !== '(') return 'stop';
  if (word.text === '-' && words[at - 1]?.to === word.from && words[at + 1]?.from === word.to) return undefined;
  if (COMMAS.has(word.text)) return 'comma';
  if (ANDS.has(word.text)) return 'and';
  return begins.has(word.text) ? 'begin' : undefined;
}

function within(used: readonly number[]): number[] {
  const [first, last] = [used[0] as number, used.at(-1) as number];
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
}

function piece(
  words: readonly Word[],
  { link, from, to }: Pick<Piece, 'link' | 'from' | 'to'>,
  mentions: readonly Mention[],
  marks: ReadonlyMap<number, PassPhrase>,
  { filler, soft, begins }: Lexicon,
): Piece {
  const own = mentions.filter(({ used }) => (used[0] as number) >= from && (used[0] as number) < to);
  const used = new Set(own.flatMap((mention) => mention.used));
  const [verbs, places, others]: [number[], number[], number[]] = [[], [], []];
  const marked: PassMark[] = [];
  let free = from;
  let purpose = false;
  for (let at = from; at < to; at++) {
    const word = words[at] as Word;
    const mark = marks.get(at);
    if (mark) {
      marked.push({ kind: mark.kind, at });
      if (!word.verb || mark.words.length > 1) free = Math.max(free, at + mark.words.length);
    }
    // "off for paint": why, not what; "for brake replacement" is work.
    purpose ||= word.text === 'for' && !own.some((mention) => (mention.used[0] as number) > at);
    if (word.place) places.push(at);
    if (used.has(at) || at < free) continue;
    if (word.verb && purpose) continue;
    if (word.verb) verbs.push(at);
    else if (
      !word.place &&
      word.kind === 'word' &&
      !filler.has(word.text) &&
      !soft.has(word.text) &&
      !begins.has(word.text)
    )
      others.push(at);
  }
  const deeds = eitherVerbs(words, verbs, own);
  const where = places.filter((at) => !words[at]?.either || !deeds.includes(at));
  return { link, from, to, mentions: own, verbs: deeds, places: where, marks: marked, others };
}

/** "R/R" is a deed where no other is near, else the right rear. */
function eitherVerbs(words: readonly Word[], verbs: readonly number[], mentions: readonly Mention[]): number[] {
  const sure = verbs.filter((at) => !words[at]?.either);
  return sure.length > 0 || mentions.some(({ works }) => works.length > 0) ? sure : [...verbs];
}

/** Where phrases begin by which a piece is no work, the longest first; none shares a word with a mention. */
function findMarks(words: readonly Word[], mentions: readonly Mention[], { passes }: Lexicon): Map<number, PassPhrase> {
  const used = new Set(mentions.flatMap((mention) => mention.used));
  const found = new Map<number, PassPhrase>();
  for (let at = 0; at < words.length; at++) {
    const listed = passes.get((words[at] as Word).text) ?? [];
    const match = listed.find((phrase) =>
      phrase.words.every((text, i) => words[at + i]?.text === text && !used.has(at + i)),
    );
    if (!match) continue;
    found.set(at, match);
    at += match.words.length - 1;
  }
  return found;
}
