import type { PlaceWord } from '../rulebook/tables.ts';
import type { Clause, Piece } from './clauses.ts';
import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

/** The words that say where a mention is. */
export interface Told {
  /** Indexes of words; a number stands for how many: "2 front tyres". */
  readonly at: readonly number[];
  /** Said of a neighbour of the same list, behind a comma only. */
  readonly guessed: boolean;
}

/** Gives each mention of a clause the words that say where. */
export function findWhere(words: readonly Word[], { pieces }: Clause, lexicon: Lexicon): Map<Mention, Told> {
  const told = new Map<Mention, number[]>();
  let waiting: number[] = [];
  let last: Mention | undefined;
  for (const [i, piece] of pieces.entries()) {
    const next = pieces[i + 1];
    if (piece.mentions.length === 0) {
      // Where something was done that we do not know.
      if (piece.verbs.length > 0 && piece.others.length > 0) continue;
      const ahead =
        piece.verbs.length === 0 &&
        next &&
        next.link !== 'begin' &&
        pieces.slice(i + 1).some(({ mentions }) => mentions.length > 0);
      const goesOn = last && (endsWithPlace(words, pieces[i - 1]) || !ahead);
      if (goesOn && last) told.set(last, [...(told.get(last) ?? []), ...piece.places]);
      else waiting.push(...piece.places);
      continue;
    }
    for (const [n, mention] of piece.mentions.entries()) {
      told.set(mention, [...waiting, ...ownPlaces(words, piece, n, lexicon)]);
      waiting = [];
      last = mention;
    }
  }
  return share(pieces, told, lexicon);
}

function endsWithPlace(words: readonly Word[], piece: Piece | undefined): boolean {
  return piece !== undefined && words[piece.to - 1]?.place !== undefined && piece.mentions.length > 0;
}

/** Between two mentions of one piece a place belongs to the second, unless a verb parts it from that. */
function ownPlaces(words: readonly Word[], piece: Piece, n: number, { soft }: Lexicon): number[] {
  const { mentions, places, verbs } = piece;
  const own = mentions[n] as Mention;
  const end = (mention: Mention | undefined) => mention?.used.at(-1) ?? piece.from - 1;
  const from =
    n === 0 ? piece.from : Math.max(end(mentions[n - 1]) + 1, ...verbs.filter((at) => at < (own.used[0] as number)));
  const next = mentions[n + 1];
  const until = next ? (verbs.find((at) => at > end(own) && at < (next.used[0] as number)) ?? end(own) + 1) : piece.to;
  const many = manyBefore(words, own, piece.from, soft);
  return [...many, ...places.filter((at) => at >= from && at < until)].sort((a, b) => a - b);
}

/** "4 tires", "2 new front tyres": a number of parts, nothing but where and what sort between. */
function manyBefore(words: readonly Word[], { used }: Mention, from: number, soft: ReadonlySet<string>): number[] {
  const noun = used.findLast((at) => words[at]?.plural && !words[at]?.verb);
  if (noun === undefined) return [];
  for (let at = noun - 1; at >= from; at--) {
    const word = words[at] as Word;
    if (word.kind === 'number') return word.text === '2' || word.text === '4' ? [at] : [];
    if (!word.place && !soft.has(word.text) && !used.includes(at)) return [];
  }
  return [];
}

/** What the words at these indexes say. */
export function placeWords(words: readonly Word[], at: readonly number[]): (readonly PlaceWord[])[] {
  const axle = at.some((one) => words[one]?.place?.length === 1 && words[one]?.place?.[0] === 'front');
  return at.map((one): readonly PlaceWord[] => {
    const { kind, text, place = [] } = words[one] as Word;
    if (kind === 'number') return [text === '2' ? 'both' : 'all'];
    // "frt & rr": beside an axle the other axle is meant, not a corner.
    return text === 'rr' && axle ? ['rear'] : place;
  });
}

/** "front pads and rotors", "pads and rotors front": a place said once for a list. */
function share(pieces: readonly Piece[], told: ReadonlyMap<Mention, number[]>, { parts }: Lexicon): Map<Mention, Told> {
  const order = pieces.flatMap(({ mentions, link, verbs }) =>
    mentions.map((mention, i) => ({ mention, link: i === 0 ? link : 'and', verbs })),
  );
  const at = order.map(({ mention }) => told.get(mention) ?? []);
  const guessed = order.map(() => false);
  const system = ({ parts: own, works }: Mention) => parts.get(own[0] ?? works[0]?.part ?? '')?.text.system;
  for (let i = 1; i < order.length; i++) {
    const [before, own] = [order[i - 1], order[i]];
    if (!before || !own || at[i]?.length) continue;
    if (own.mention.works.length > 0 && system(before.mention) !== system(own.mention)) continue;
    const leads = (at[i - 1] ?? []).some((one) => one < (before.mention.used[0] as number));
    const listed = own.link === 'comma' && own.verbs.length === 0 && system(before.mention) === system(own.mention);
    const near = own.link === 'and' || listed;
    if (!leads || !near) continue;
    at[i] = at[i - 1] as number[];
    guessed[i] = own.link !== 'and' || (guessed[i - 1] as boolean);
  }
  for (let i = order.length - 2; i >= 0; i--) {
    const [own, behind] = [order[i], order[i + 1]];
    if (!own || !behind || at[i]?.length) continue;
    const alike = system(own.mention) === system(behind.mention);
    if (behind.link === 'and' ? own.mention.works.length > 0 && !alike : behind.link !== 'comma' || !alike) continue;
    const trails = (at[i + 1] ?? []).some((one) => one > (behind.mention.used.at(-1) as number));
    if (!trails || behind.verbs.length > 0) continue;
    at[i] = at[i + 1] as number[];
    guessed[i] = behind.link === 'comma';
  }
  return new Map(order.map(({ mention }, i) => [mention, { at: at[i] as number[], guessed: guessed[i] as boolean }]));
}
