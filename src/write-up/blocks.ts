import type { Clause, PassMark, Piece } from './clauses.ts';
import type { Said } from './deeds.ts';
import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

type Kind = PassMark['kind'];

const BLOCKING: readonly Kind[] = ['declined', 'advice', 'complaint'];

/** Of each mention of a clause, by what it is no work: declined, advised, complained of. Absent: nothing says so. */
export function findBlocks(
  words: readonly Word[],
  { pieces, asks }: Clause,
  label: Kind | undefined,
  deeds: ReadonlyMap<Mention, Said>,
  { heads }: Lexicon,
): Map<Mention, Kind> {
  const blocks = new Map<Mention, Kind>();
  let carried: Kind | undefined = label;
  for (const [i, piece] of pieces.entries()) {
    // What stands before a colon holds for all behind it.
    if (endsIt(words, piece, carried)) carried = piece.link === 'begin' || label === 'finding' ? undefined : label;
    for (const mention of piece.mentions) {
      // "check engine light on, boost hose split, renewed": what was done ends the complaint.
      const done = deeds.get(mention)?.verbs.some((at) => words[at]?.verb?.past) && carried === 'complaint';
      const own =
        markOver(words, piece, mention) ??
        (done ? undefined : carried) ??
        (asks ? 'advice' : besides(words, piece, mention, heads));
      if (own) blocks.set(mention, own);
    }
    const mark = strongest(piece.marks);
    if (mark && piece.mentions.length === 0 && piece.verbs.length === 0)
      blockBehind(words, pieces.slice(0, i), mark.kind, blocks);
    carried = mark && !doneBefore(words, piece, mark.at) ? mark.kind : carried;
  }
  return blocks;
}

/** The mark that speaks of a mention: one before it, or one behind it if nothing was said to be done first. */
function markOver(words: readonly Word[], piece: Piece, mention: Mention): Kind | undefined {
  const at = mention.used[0] as number;
  const marks = piece.marks.filter((mark) => BLOCKING.includes(mark.kind));
  return strongest(marks.filter((mark) => mark.at < at || !doneBefore(words, piece, mark.at)))?.kind;
}

/** "wipers, refused": a mark by itself speaks of what stands before it, unless that was done. */
function blockBehind(words: readonly Word[], before: readonly Piece[], kind: Kind, blocks: Map<Mention, Kind>): void {
  if (before.some((piece) => piece.verbs.some((at) => words[at]?.verb?.past))) return;
  if (kind === 'complaint') return;
  for (const { mentions } of before)
    for (const mention of mentions) if (!blocks.has(mention)) blocks.set(mention, kind);
}

/** A new sentence, or a deed of its own behind a comma, ends what was declined or advised; a complaint goes on. */
function endsIt(words: readonly Word[], piece: Piece, carried: Kind | undefined): boolean {
  if (carried === undefined || piece.link === 'begin') return true;
  if (carried === 'finding') return piece.verbs.length > 0;
  if (carried === 'complaint' || piece.link !== 'comma') return false;
  return piece.verbs.some((at) => carried === 'declined' || words[at]?.verb?.past);
}

/** "bumper off to access radiator", "repaired loom under dash": what stands behind the word was not worked on. */
function besides(
  words: readonly Word[],
  { marks, mentions, others, verbs }: Piece,
  mention: Mention,
  heads: ReadonlySet<string>,
): Kind | undefined {
  const at = mention.used[0] as number;
  // "for heater core replacement" is work on it.
  if (verbs.some((verb) => verb > at)) return undefined;
  const mark = marks.find((one) => one.kind === 'beside' && one.at < at);
  if (!mark || verbs.some((verb) => verb > mark.at)) return undefined;
  // "sensor on bumper" is about a sensor; "repair on bumper" is about the bumper.
  const thing = others.some((one) => one < mark.at && heads.has(words[one]?.text ?? ''));
  return thing || mentions.some(({ used }) => (used[0] as number) < mark.at) ? 'beside' : undefined;
}

/** What a label says of all that stands behind its colon: "Advisory: ...", "Cause: ...". */
export function labelKind({ label, pieces }: Clause): Kind | undefined {
  if (!label || pieces.some(({ mentions }) => mentions.length > 0)) return undefined;
  const marks = pieces.flatMap((piece) => piece.marks);
  return strongest(marks)?.kind ?? marks.find(({ kind }) => kind === 'finding')?.kind;
}

function doneBefore(words: readonly Word[], { verbs }: Piece, at: number): boolean {
  return verbs.some((verb) => verb < at && words[verb]?.verb?.past);
}

function strongest(marks: readonly PassMark[]): PassMark | undefined {
  return BLOCKING.map((kind) => marks.find((mark) => mark.kind === kind)).find((mark) => mark !== undefined);
}
