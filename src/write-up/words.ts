import type { PlaceWord } from '../rulebook/tables.ts';
import { singular } from './forms.ts';
import { isWord, type Lexicon, merged, type Verb } from './lexicon.ts';
import type { Span } from './reading.ts';
import { openLine, type Opened } from './split.ts';

/** A word of a line, as the lexicon knows it. */
export interface Word extends Span {
  /** In small letters, singular, spelt as in the catalogue. */
  readonly text: string;
  readonly kind: 'word' | 'number' | 'mark';
  readonly plural: boolean;
  /** It was misspelt or run together. */
  readonly mended: boolean;
  readonly place?: readonly PlaceWord[];
  readonly verb?: Verb;
  /** Either its verb or its place is meant. */
  readonly either?: boolean;
  /** It was shorthand. */
  readonly short?: boolean;
  /** It is written with a capital. */
  readonly capital: boolean;
}

/** What was misspelt in this reading, so that each word is looked up once. */
export type Mended = Map<string, readonly string[] | null>;

/** A line as words: shorthand opened, misspelt and joined words put right. */
export function readWords(line: string, lexicon: Lexicon, mended: Mended): Word[] {
  const { spelling, shorthand } = lexicon;
  const right = openLine(line, shorthand).flatMap((piece): (Opened & { mended?: boolean })[] => {
    if (piece.place || !isWord(piece) || spelling.knows(piece.text)) return [piece];
    if (!mended.has(piece.text)) mended.set(piece.text, spelling.mend(piece.text) ?? null);
    const better = mended.get(piece.text);
    return better ? better.map((text) => again({ ...piece, text, mended: true }, lexicon)) : [piece];
  });
  return merged(right, spelling.listed).map((piece) => word(piece, line, lexicon));
}

/** What a mended word stands for, as if it had been written so. */
function again<T extends Opened>(piece: T, { shorthand }: Lexicon): T {
  const place = shorthand.places.get(piece.text);
  if (place) return { ...piece, place };
  const [other, ...more] = shorthand.means.get(piece.text) ?? [];
  return other !== undefined && more.length === 0 ? { ...piece, text: other } : piece;
}

function word(
  { text, from, to, place, either, short, mended = false }: Opened & { mended?: boolean },
  line: string,
  lexicon: Lexicon,
): Word {
  const verb = either ? lexicon.verbs.get('replace') : lexicon.verbs.get(text);
  const kind = !isWord({ text, from, to }) ? 'mark' : /^\d[\d.,]*$/.test(text) ? 'number' : 'word';
  return {
    text: singular(text),
    from,
    to,
    kind,
    plural: singular(text) !== text,
    mended,
    capital: /^\p{Lu}/u.test(line.slice(from, to)),
    ...(short ? { short } : {}),
    ...(place ? { place } : {}),
    ...(verb ? { verb } : {}),
    ...(either ? { either } : {}),
  };
}
