import { DIDS, type Did } from '../rulebook/schema.ts';
import type { PASSES, PlaceWord, WordsFile } from '../rulebook/tables.ts';
import { findBlocks, labelKind } from './blocks.ts';
import type { Clause, Piece } from './clauses.ts';
import { findDeeds, type Said, settleDids } from './deeds.ts';
import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import { findPlaces, mayStand, type Where } from './places.ts';
import type { Ask, PassKind, Proposal, Span } from './reading.ts';
import { findWhere, placeWords, type Told } from './where.ts';
import type { Word } from './words.ts';

/** A mention with all that was said of it. */
export interface Read {
  readonly mention: Mention;
  readonly piece: Piece;
  readonly said: Said;
  readonly told: Told;
  readonly block: (typeof PASSES)[number] | undefined;
  /** It is called new, itself or with its list. */
  readonly fresh: boolean;
  /** It is listed behind a service: "full service inc air filter". */
  readonly served: boolean;
  /** It stands before a colon. */
  readonly heads: boolean;
}

/** What stands before a colon says of all behind it. */
export interface Label {
  readonly kind?: Read['block'];
  readonly service?: boolean;
}

export function labelOf(words: readonly Word[], clause: Clause): Label {
  return {
    kind: labelKind(clause),
    service: clause.label && clause.pieces.some((piece) => namesService(words, piece)),
  };
}

export function readMentions(words: readonly Word[], clause: Clause, label: Label, lexicon: Lexicon): Read[] {
  const deeds = findDeeds(words, clause, lexicon);
  const where = findWhere(words, clause, lexicon);
  const blocks = findBlocks(words, clause, label.kind, deeds, lexicon);
  let fresh = false;
  let served = label.service ?? false;
  return clause.pieces.flatMap((piece) => {
    served ||= namesService(words, piece);
    return piece.mentions.map((mention) => {
      const said = deeds.get(mention) ?? { verbs: [], shared: false };
      fresh = isNew(words, piece, mention) || (fresh && said.verbs.length === 0 && piece.link !== 'begin');
      return {
        mention,
        piece,
        said,
        told: where.get(mention) ?? { at: [], guessed: false },
        block: blocks.get(mention),
        fresh,
        served,
        heads: clause.label && mention.works.length === 0,
      };
    });
  });
}

/** "30k service": by itself, of no part. */
function namesService(words: readonly Word[], { mentions, from, to }: Piece): boolean {
  return mentions.length === 0 && words.slice(from, to).some(({ text }) => text === 'service');
}

/** The work lines that a mention comes to, or why it is none. */
export function propose(read: Read, words: readonly Word[], lexicon: Lexicon, sits: Sits): Proposal[] | PassKind {
  const { mention, piece, said, block } = read;
  if (block) return block;
  // "BRAKES: pads and rotors"
  if (read.heads && said.verbs.length === 0 && !said.behind) return 'heading';
  const verbs = said.verbs.map((at) => (words[at] as Word).verb?.did ?? 'replaced');
  const spoken = said.behind ? [...verbs, said.behind] : verbs;
  const has = (kind: (typeof PASSES)[number]) => piece.marks.some((mark) => mark.kind === kind);
  if (mention.works.length > 0)
    return mention.works.map((work) =>
      proposal(read, work.part, ownDid(read, work.did, spoken, words), words, lexicon, sits),
    );
  const part = mention.parts.length === 1 ? (mention.parts[0] as string) : narrowed(read, words, lexicon, sits);
  const able = [...new Set((part ? [part] : mention.parts).flatMap((id) => lexicon.parts.get(id)?.text.did ?? DIDS))];
  // "injectors out, new seals": what is new was replaced, whatever was done to the part beside it.
  const renewed = said.shared && read.fresh && able.includes('replaced');
  const dids = renewed ? (['replaced'] as const) : settleDids(spoken, able, said.shared);
  if (dids.length > 0 && !(has('follow-up') && spoken.every((did) => did === 'adjusted') && !able.includes('adjusted')))
    return dids.map((did) => proposal(read, part, did, words, lexicon, sits));
  if (has('follow-up')) return 'follow-up';
  for (const kind of ['finding', 'price', 'sum', 'no-work'] as const) if (has(kind) && spoken.length === 0) return kind;
  const anew = (['replaced', 'drained'] as const).find((did) => able.includes(did));
  const did = ((read.fresh || read.served) && anew) || null;
  return [proposal(read, part, did, words, lexicon, sits)];
}

export type Sits = WordsFile['driver-sits'][string] | undefined;

/** A set phrase keeps its own did, unless the thing was only looked at. */
function ownDid({ mention, said }: Read, did: Did, spoken: readonly string[], words: readonly Word[]): Did {
  if (said.shared || spoken.length === 0 || mention.used.some((at) => words[at]?.verb)) return did;
  return spoken.every((one) => one === 'inspected') ? 'inspected' : did;
}

/** Of several parts of one name the only one that can stand where it was said to be. */
function narrowed(read: Read, words: readonly Word[], { parts }: Lexicon, sits: Sits): string | null {
  const said = placeWords(words, read.told.at);
  if (said.length === 0) return null;
  const text = said.flat().join(' ');
  const named = read.mention.parts.filter((id) => id.startsWith('front-') || id.startsWith('rear-'));
  const byName = named.filter((id) => text.includes(id.split('-')[0] as string));
  if (named.length === read.mention.parts.length && byName.length === 1) return byName[0] as string;
  const able = read.mention.parts.filter((id) => mayStand(said, parts.get(id)?.text.at ?? [], sits));
  return able.length === 1 ? (able[0] as string) : null;
}

function isNew(words: readonly Word[], piece: Piece, { used }: Mention): boolean {
  return words.slice(piece.from, used.at(-1)).some(({ text }) => text === 'new');
}

function proposal(
  read: Read,
  part: string | null,
  did: Did | null,
  words: readonly Word[],
  lexicon: Lexicon,
  sits: Sits,
): Proposal {
  const { mention, told } = read;
  // A set phrase says what was done by itself.
  const said = mention.works.length > 0 && read.said.shared ? { ...read.said, verbs: [], shared: false } : read.said;
  const row = part === null ? undefined : lexicon.parts.get(part)?.text;
  const plural = words[mention.used.at(-1) as number]?.plural ?? false;
  const where = findPlaces(seated(words, told.at, row?.system), row?.at ?? [], plural, sits);
  const doubts = doubtsOf({ ...read, said }, did, words, lexicon);
  const confidence = Math.max(0.1, Math.round((0.97 - doubts.reduce((sum, { costs }) => sum + costs, 0)) * 100) / 100);
  return {
    part,
    did,
    at: where.at,
    asks: asksOf(part, did, where, mention, row?.did ?? DIDS),
    named: {
      from: (words[mention.used[0] as number] as Word).from,
      to: (words[mention.used.at(-1) as number] as Word).to,
    },
    words: spansOf([...mention.used, ...said.verbs, ...told.at], words),
    confidence,
    sure: confidence >= 0.8 ? 'clear' : confidence >= 0.6 ? 'likely' : 'look again',
    doubts: doubts.map(({ text }) => text),
  };
}

/** The driver's window, lock or seat is at the front, and the passenger's; a passenger side is not. */
function seated(words: readonly Word[], at: readonly number[], system: string | undefined): (readonly PlaceWord[])[] {
  const said = placeWords(words, at);
  const flat = said.flat();
  const own = flat.includes('driver') || at.some((one) => words[one]?.text === 'passenger');
  const front = own && !flat.includes('front') && !flat.includes('rear') && (system === 'body' || system === 'modules');
  return front ? [...said, ['front']] : said;
}

function asksOf(part: string | null, did: Did | null, where: Where, mention: Mention, dids: readonly Did[]): Ask[] {
  const place = where.driver ? 'Which side? It hangs on where the driver sits.' : 'Where?';
  return [
    ...(part === null ? [{ about: 'part' as const, question: 'Which of these?', choices: mention.parts }] : []),
    ...(did === null ? [{ about: 'did' as const, question: 'What was done to it?', choices: dids }] : []),
    ...(where.choices.length > 0 && (mention.works.length === 0 || where.driver)
      ? [{ about: 'place' as const, question: place, choices: where.choices }]
      : []),
  ];
}

/** Why a reading is less than clear, and what it takes off its confidence. */
function doubtsOf(
  { mention, said, told }: Read,
  did: Did | null,
  words: readonly Word[],
  lexicon: Lexicon,
): { text: string; costs: number }[] {
  const before = words[(mention.used[0] as number) - 1];
  const unknown =
    before?.kind === 'word' &&
    !before.place &&
    !before.verb &&
    !lexicon.soft.has(before.text) &&
    !lexicon.filler.has(before.text);
  const mended = [...mention.used, ...said.verbs].filter((at) => words[at]?.mended);
  return [
    ...(mended.length > 0 ? [{ text: 'spelling put right', costs: 0.1 }] : []),
    ...(mention.inOrder ? [] : [{ text: 'its words stand in another order', costs: 0.08 }]),
    ...(mention.lent ? [{ text: 'a word is lent by the part beside it', costs: 0.12 }] : []),
    ...(said.shared ? [{ text: 'what was done is said of the part beside it', costs: 0.05 }] : []),
    ...(told.guessed ? [{ text: 'the place is said of the part before it', costs: 0.12 }] : []),
    ...(mention.used.length === 1 && unknown ? [{ text: 'it stands behind a word we do not know', costs: 0.12 }] : []),
    ...(isShared(mention, words, lexicon) ? [{ text: 'many parts go by that word', costs: 0.3 }] : []),
    ...(did === null ? [{ text: 'nothing says what was done', costs: 0.4 }] : []),
    ...(mention.parts.length > 1 ? [{ text: 'several parts go by that name', costs: 0.25 }] : []),
  ];
}

/** "motor" is an engine, and a noun that many parts are named with; "clutch" is the clutch all the same. */
function isShared({ used, parts }: Mention, words: readonly Word[], { shared, parts: rows }: Lexicon): boolean {
  const text = words[used[0] as number]?.text ?? '';
  return used.length === 1 && shared.has(text) && rows.get(parts[0] ?? '')?.text.title.toLowerCase() !== text;
}

/** In order, none overlapping: words opened from one piece of shorthand share its place in the text. */
function spansOf(indexes: readonly number[], words: readonly Word[]): Span[] {
  const spans = [...new Set(indexes)].sort((a, b) => a - b).map((at) => words[at] as Word);
  return spans.reduce<Span[]>((list, { from, to }) => {
    const last = list.at(-1);
    return last && from < last.to ? list : [...list, { from, to }];
  }, []);
}
