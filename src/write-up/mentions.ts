import type { Did } from '../rulebook/schema.ts';
import { bagKey, type Lexicon, type Phrase } from './lexicon.ts';
import type { Word } from './words.ts';

/** Words that name a part, or a part and what was done to it. */
export interface Mention {
  /** Indexes into the line's words: those it rests on, rising. */
  readonly used: readonly number[];
  /** One part, or the several that these words fit; none: a part that the rulebook has not. */
  readonly parts: readonly string[];
  /** A set phrase: all of its works, each with what was done. */
  readonly works: readonly { readonly part: string; readonly did: Did }[];
  /** Its words stood in the usual order. */
  readonly inOrder: boolean;
  /** One of its words is lent by a neighbour: "cam and crank sensor". */
  readonly lent: boolean;
  /** The part named right before it only says which it is: "steering column clockspring". */
  readonly modified?: true;
  /** It names what gives no work line. */
  readonly passes?: 'unknown-part' | 'follow-up';
}

interface Candidate extends Mention {
  readonly weight: number;
  readonly skipped: number;
}

const MOST_WORDS = 6;
const MOST_SPAN = 10;

/** The mentions of a line, in order, none sharing a word. The one with most words wins. */
export function findMentions(words: readonly Word[], lexicon: Lexicon): Mention[] {
  const found = words.flatMap((_, at) => candidatesFrom(words, at, lexicon));
  // Of two names as long, the one that ends later: the last noun says what a thing is.
  found.sort((a, b) => b.weight - a.weight || a.skipped - b.skipped || end(b) - end(a) || size(a) - size(b));
  const taken = new Set<number>();
  const kept: Candidate[] = [];
  for (const candidate of found) {
    if (candidate.used.some((at) => taken.has(at))) continue;
    for (const at of candidate.used) taken.add(at);
    kept.push(candidate);
  }
  return kept.sort((a, b) => first(a) - first(b));
}

function first({ used }: Mention): number {
  return used[0] as number;
}

function end({ used }: Mention): number {
  return used.at(-1) as number;
}

function size({ used }: Mention): number {
  return used.length;
}

/** Every phrase that begins with the word at `from`. */
function candidatesFrom(words: readonly Word[], from: number, lexicon: Lexicon): Candidate[] {
  const found: Candidate[] = [];
  const seek = (at: number, used: readonly number[], bag: readonly string[], skipped: number, work: boolean): void => {
    if (bag.length > 0) found.push(...matches(words, used, bag, skipped, work, lexicon));
    const word = words[at];
    if (!word || bag.length === MOST_WORDS || at - from > MOST_SPAN) return;
    for (const { words: more, works } of readings(word, lexicon)) {
      const next = [...bag, ...more];
      if (lexicon.towards.has(bagKey(next))) seek(at + 1, [...used, at], next, skipped, work || works);
    }
    if (used.length === 0) return;
    const pass = mayPass(word, words[at + 1], lexicon);
    if (word.text === '.' && !(words[at - 1]?.short && words[at + 1]?.capital === false)) return;
    if (pass === 'free') seek(at + 1, used, bag, skipped + 1, work);
    // Only a set phrase may reach over an "and".
    if (pass === 'work') seek(at + 1, used, bag, skipped + 1, true);
  };
  seek(from, [], [], 0, false);
  return found;
}

/** As what a phrase may hold the word: as it is, as a verb in any form, or where it says where. */
function readings(word: Word, { ofPhrases }: Lexicon): { words: readonly string[]; works: boolean }[] {
  const verb = word.verb ? `=${word.verb.base}` : undefined;
  return [
    ...(verb && ofPhrases.has(verb) ? [{ words: [verb], works: true }] : []),
    ...(word.place ? placeReadings(word.place, ofPhrases) : ofPhrases.has(word.text) ? [[word.text]] : []).map(
      (own) => ({ words: own, works: false }),
    ),
  ];
}

function placeReadings(place: readonly string[], ofPhrases: ReadonlySet<string>): string[][] {
  return place.filter((one) => ofPhrases.has(one)).map((one) => [one]);
}

/** Whether a phrase may reach over a word. */
function mayPass(word: Word, next: Word | undefined, { soft }: Lexicon): 'free' | 'work' | undefined {
  if (word.kind === 'number' || word.place || soft.has(word.text)) return 'free';
  if (word.text === '#' || word.text === '.' || (word.text === '-' && next && next.from === word.to)) return 'free';
  return word.text === 'and' || word.text === '&' || word.text === '/' ? 'work' : undefined;
}

function matches(
  words: readonly Word[],
  used: readonly number[],
  bag: readonly string[],
  skipped: number,
  work: boolean,
  { phrases }: Lexicon,
): Candidate[] {
  const listed = (phrases.get(bagKey(bag)) ?? []).filter((phrase) => fitsNumber(phrase, words, used, bag));
  // "hub bearing and abs sensor": what links two parts ends the name of neither.
  if (listed.length === 0 || bag[0] === 'and' || bag.at(-1) === 'and') return [];
  const works = listed.find(({ gives, passes }) => passes === 'follow-up' || gives.some(({ did }) => did));
  if (work && !works) return [];
  const last = used.at(-1) as number;
  // A word that is also a verb tells less: "oil change" is the deed before it is a thing.
  const nouns = bag.filter(
    (word, i) => !word.startsWith('=') && !words[used[i] as number]?.verb && !words[used[i] as number]?.place,
  ).length;
  const inOrder = listed.some((phrase) => phrase.words.join(' ') === bag.join(' '));
  const parts = works ? [] : [...new Set(listed.flatMap(({ gives }) => gives.map(({ part }) => part)))].sort();
  const base = nouns * 10 + (bag.length - nouns) * 5 + (inOrder ? 2 : 0) + (words[last]?.mended ? -1 : 0);
  const passes = listed.find((phrase) => phrase.passes)?.passes;
  return [
    {
      used,
      parts: passes ? [] : parts,
      works: (works?.gives ?? []) as Mention['works'],
      inOrder,
      lent: false,
      ...(passes ? { passes } : {}),
      weight: base + (passes ? 1 : 0) + (works ? 3 : 0),
      skipped,
    },
  ];
}

/** A name of one word stands in the number it is listed in: "plugs" are spark plugs, a "plug" is not. */
function fitsNumber(
  { plural }: Phrase,
  words: readonly Word[],
  used: readonly number[],
  bag: readonly string[],
): boolean {
  if (plural.size === 0) return true;
  return used.every((at, i) => !plural.has(bag[i] as string) || words[at]?.plural);
}
