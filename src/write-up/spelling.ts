import { distance } from 'fastest-levenshtein';
import MiniSearch from 'minisearch';
import { oneSlip, singular } from './forms.ts';

interface Known {
  /** Words of the catalogue, as listed. */
  readonly listed: ReadonlySet<string>;
  readonly ofPhrases: ReadonlySet<string>;
  readonly forms: Iterable<string>;
  /** Never taken for a misspelt one. */
  readonly kept: Iterable<string>;
}

const LONG = 10;

/** Puts misspelt and run-together words right, where one known word is a slip away. */
export class Spelling {
  readonly listed: ReadonlySet<string>;
  private readonly ofPhrases: ReadonlySet<string>;
  private readonly right: Set<string>;
  private readonly index: MiniSearch<{ id: string; word: string }>;

  constructor({ listed, ofPhrases, forms, kept }: Known) {
    this.listed = listed;
    this.ofPhrases = ofPhrases;
    const verbs = [...forms];
    this.right = new Set([...listed, ...verbs, ...kept]);
    this.index = new MiniSearch({ fields: ['word'], tokenize: (text) => [text], processTerm: (term) => term });
    const long = [...new Set([...listed, ...verbs])].filter((word) => /^[a-z]{5,}$/.test(word));
    this.index.addAll(long.sort().map((word) => ({ id: word, word })));
  }

  knows(word: string): boolean {
    return this.right.has(word) || this.right.has(singular(word));
  }

  /** The word as it should be: one for a misspelt, two for a run-together; undefined where nothing is near. */
  mend(word: string): readonly string[] | undefined {
    if (!/^\p{L}{5,24}$/u.test(word)) return undefined;
    return this.nearest(word, 1) ?? this.halves(word) ?? this.nearest(word, 2);
  }

  private halves(word: string): readonly string[] | undefined {
    for (let at = 3; at <= word.length - 3; at++) {
      const [first, second] = [word.slice(0, at), word.slice(at)];
      if (this.listed.has(first) && (this.ofPhrases.has(second) || this.ofPhrases.has(singular(second))))
        return [first, second];
    }
    return undefined;
  }

  private nearest(word: string, slips: 1 | 2): readonly string[] | undefined {
    const found = this.index
      .search(word, { fuzzy: 2 })
      .map(({ id }) => String(id))
      .filter((near) => (slips === 1 ? isSlip(word, near) : isFar(word, near)));
    const rank = (near: string) => distance(word, near) + (near[0] === word[0] ? 0 : 0.5);
    const best = found.sort((a, b) => rank(a) - rank(b) || (a < b ? -1 : 1))[0];
    return best === undefined ? undefined : [best];
  }
}

/** Short words are too like each other: of five letters the first and the last must be right. */
function isSlip(word: string, near: string): boolean {
  if (Math.min(word.length, near.length) < 6) {
    const ends = word[0] === near[0] && word.at(-1) === near.at(-1);
    return ends && word.length >= 5 && near.length >= 5 && oneSlip(word, near);
  }
  return oneSlip(word, near);
}

/** Two slips are forgiven in a long word that begins right. */
function isFar(word: string, near: string): boolean {
  return near.length >= LONG && word[0] === near[0] && distance(word, near) <= 2;
}
