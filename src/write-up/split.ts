import type { PlaceWord } from '../rulebook/tables.ts';
import type { Span } from './reading.ts';

/** A word, a number or a mark as it stands in the text, in small letters. */
export interface Piece extends Span {
  readonly text: string;
}

/** What short and foreign words stand for; keys as `splitPieces` and one space write them. */
export interface Shorthand {
  readonly means: ReadonlyMap<string, readonly string[]>;
  readonly places: ReadonlyMap<string, readonly PlaceWord[]>;
}

/** A piece whose shorthand is opened: `place` where it says where, `either` where it may be a word or a place. */
export interface Opened extends Piece {
  readonly place?: readonly PlaceWord[];
  readonly either?: boolean;
  /** It was shorthand: a full stop behind it may belong to it. */
  readonly short?: boolean;
}

const PIECE = /[\p{L}\p{N}]+(?:[&+/.'’-][\p{L}\p{N}]+)*|[^\s\p{L}\p{N}]/gu;
const MOST_PIECES_OF_A_KEY = 5;

/** Takes a line apart; what is glued ("R&R", "O/S/F", "tie-rod") stays whole only where it is shorthand. */
export function openLine(line: string, shorthand: Shorthand): Opened[] {
  const pieces = [...line.matchAll(PIECE)].flatMap(({ 0: found, index }) => unglue(plain(found), index, shorthand));
  const opened: Opened[] = [];
  for (let at = 0; at < pieces.length; ) {
    const { used, words } = openAt(pieces, at, shorthand);
    opened.push(...words);
    at += used;
  }
  return opened.map((piece) => (piece.text === '&' ? { ...piece, text: 'and' } : piece));
}

/** Small letters, one kind of apostrophe, one sign for "and"; as many characters as before. */
function plain(found: string): string {
  const small = found.toLowerCase();
  return (small.length === found.length ? small : found).replaceAll('’', "'").replaceAll('+', '&');
}

function unglue(text: string, from: number, { means, places }: Shorthand): Piece[] {
  const whole = [{ text, from, to: from + text.length }];
  // "4/32": tread in 32nds of an inch.
  if (/^[\d.]+\/32$/.test(text)) return [{ ...(whole[0] as Piece), text: '32nds' }];
  // "225/45R17": the size of a tyre.
  if (/^\d{3}\/\d{2,3}(z?rf?\d{2})?$/.test(text)) return [{ ...(whole[0] as Piece), text: 'dimension' }];
  const measure = /^\d[\d.,]*(mm|psi|k|l|nm|qts?|hrs?|bar|lbs?)$|^\d+[.,]\d+([a-z]+)$/.exec(text);
  if (measure) return [{ ...(whole[0] as Piece), text: measure[1] ?? measure[2] ?? text }];
  if (!/[&/.'-]/.test(text) || text.length === 1 || /^[\d.,]+$/.test(text)) return whole;
  for (const key of [text, text.replaceAll('.', '')])
    if (means.has(key) || places.has(key)) return [{ text: key, from, to: from + text.length }];
  return [...text.matchAll(/[^&/.'-]+|[&/.]/g)].flatMap(({ 0: piece, index }) => {
    // The s of a genitive.
    if (piece === 's' && text[index - 1] === "'") return [];
    return [{ text: piece, from: from + index, to: from + index + piece.length }];
  });
}

/** The longest shorthand from `at` on, opened, or the piece itself. */
function openAt(pieces: readonly Piece[], at: number, shorthand: Shorthand): { used: number; words: Opened[] } {
  for (let used = Math.min(MOST_PIECES_OF_A_KEY, pieces.length - at); used > 0; used--) {
    const taken = pieces.slice(at, at + used);
    const key = taken.map(({ text }) => text).join(' ');
    const span = { from: (taken[0] as Piece).from, to: (taken.at(-1) as Piece).to };
    const place = shorthand.places.get(key);
    const means = shorthand.means.get(key);
    if (place)
      return {
        used,
        words: [{ ...span, text: key, place, short: key.length > 2, ...(means ? { either: true } : {}) }],
      };
    if (means) return { used, words: means.map((text) => reopen({ ...span, text, short: true }, shorthand)) };
  }
  return { used: 1, words: [pieces[at] as Piece] };
}

/** A word that shorthand stands for may itself be a place, or spelt otherwise here. */
function reopen(word: Opened, { means, places }: Shorthand): Opened {
  const place = places.get(word.text);
  if (place) return { ...word, place };
  const [other, ...more] = means.get(word.text) ?? [];
  return other !== undefined && more.length === 0 ? { ...word, text: other } : word;
}
