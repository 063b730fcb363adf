import type { Did } from '../rulebook/schema.ts';
import type { Clause, Piece } from './clauses.ts';
import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

/** What a line says was done to a part. */
export interface Said {
  /** Indexes of the verbs; none: nothing was said. */
  readonly verbs: readonly number[];
  /** The verbs stand with another part of the same list. */
  readonly shared: boolean;
  /** "gearbox out" */
  readonly behind?: Did;
}

/**
 * Gives each mention of a clause its verbs. A clause that begins with a verb has its verbs before the parts
 * ("replaced pads and rotors"), any other behind them ("pads and rotors replaced").
 */
export function findDeeds(words: readonly Word[], { pieces }: Clause, lexicon: Lexicon): Map<Mention, Said> {
  const firstVerb = pieces.flatMap(({ verbs }) => verbs)[0];
  const firstMention = pieces.flatMap(({ mentions }) => mentions)[0]?.used[0];
  const leads = firstVerb !== undefined && (firstMention === undefined || firstVerb < firstMention);
  const said = new Map<Mention, Said>();
  let waiting: number[] = [];
  let last: Mention | undefined;
  for (const [i, piece] of pieces.entries()) {
    const ahead = pieces.slice(i + 1, pieces.findIndex(({ mentions }, n) => n > i && mentions.length > 0) + 1);
    const follows = ahead.length > 0 && ahead.every((next) => startsWithVerb(words, next));
    if (piece.mentions.length === 0) {
      // A verb with an object that we do not know says nothing of our parts.
      if (piece.others.length > 0) continue;
      // "tie rod end worn - replace, program BCM": a part that waits for its deed comes first.
      const bare = last && said.get(last)?.verbs.length === 0;
      if (last && (bare || !follows)) add(said, last, piece.verbs);
      else waiting.push(...piece.verbs);
      continue;
    }
    for (const [n, mention] of piece.mentions.entries()) {
      const own = ownVerbs(piece, n, leads);
      const behind = behindWord(words, mention, lexicon);
      said.set(mention, { verbs: [...waiting, ...own], shared: false, ...(behind ? { behind } : {}) });
      waiting = [];
      last = mention;
    }
  }
  if (last) add(said, last, waiting);
  share(words, pieces, said, leads);
  return said;
}

/** "removed, cleaned and refitted the throttle body": verbs on verbs wait for their part. */
function startsWithVerb(words: readonly Word[], { from, verbs }: Piece): boolean {
  return verbs[0] === from || (verbs[0] === from + 1 && words[from]?.kind === 'word' && !words[from]?.place);
}

function add(said: Map<Mention, Said>, mention: Mention, verbs: readonly number[]): void {
  const had = said.get(mention);
  if (had && verbs.length > 0) said.set(mention, { ...had, verbs: [...had.verbs, ...verbs] });
}

/** Between two mentions of one piece a verb belongs to the second where verbs lead, else to the first. */
function ownVerbs({ verbs, mentions }: Piece, n: number, leads: boolean): number[] {
  const start = (at: number) => mentions[at]?.used[0] ?? Number.POSITIVE_INFINITY;
  const [before, own, next] = [n > 0 ? start(n - 1) : -1, start(n), start(n + 1)];
  return verbs.filter((at) => {
    if (at < own) return at > before && (n === 0 || leads);
    return at < next && (next === Number.POSITIVE_INFINITY || !leads);
  });
}

/** A mention without a verb takes that of its list: of the one before where verbs lead, else of the one behind. */
function share(words: readonly Word[], pieces: readonly Piece[], said: Map<Mention, Said>, leads: boolean): void {
  const order = pieces.flatMap(({ mentions, link, marks }) =>
    mentions.map((mention, i) => ({ mention, link: i === 0 ? link : 'and', marks })),
  );
  const bare = (at: number) => said.get((order[at] as (typeof order)[number]).mention)?.verbs.length === 0;
  const take = (to: number, from: number): void => {
    const lender = order[from]?.mention;
    const own = order[to] as (typeof order)[number];
    const verbs = (lender && lent(words, lender, said, from > to)) ?? [];
    if (verbs.length > 0 && !said.get(own.mention)?.behind) said.set(own.mention, { verbs, shared: true });
  };
  const found = (at: number) => {
    const { mention, marks } = order[at] as (typeof order)[number];
    return marks.some(({ kind, at: mark }) => kind === 'finding' && mark > (mention.used[0] as number));
  };
  const forward = () => {
    for (let at = 1; at < order.length; at++)
      if (bare(at) && !found(at) && order[at]?.link !== 'begin') take(at, at - 1);
  };
  const backward = () => {
    for (let at = order.length - 2; at >= 0; at--)
      if (bare(at) && !found(at) && order[at + 1]?.link !== 'begin') take(at, at + 1);
  };
  if (leads) forward();
  backward();
  if (!leads) forward();
}

/**
 * The verbs that a mention lends: its own, or those within a set phrase: "changed the oil and the air filter".
 * To the part before it only those behind its noun: "air filter and oil changed", not "pads, clean slides".
 */
function lent(
  words: readonly Word[],
  mention: Mention,
  said: ReadonlyMap<Mention, Said>,
  back: boolean,
): readonly number[] {
  const own = said.get(mention)?.verbs ?? [];
  if (own.length > 0 || mention.works.length === 0) return own;
  const noun = mention.used.findLast((at) => !words[at]?.verb);
  return mention.used.filter((at) => words[at]?.verb && (!back || (noun !== undefined && at > noun)));
}

function behindWord(words: readonly Word[], { used }: Mention, { words: { behind } }: Lexicon): Did | undefined {
  const next = words[(used.at(-1) as number) + 1]?.text;
  return next !== undefined && Object.hasOwn(behind, next) ? behind[next] : undefined;
}

/** Where a part can not have had it done, what that may be called there. */
const OTHERWISE: Partial<Record<Did, readonly Did[]>> = {
  replaced: ['drained', 'adjusted', 'refitted'],
  repaired: ['refitted', 'cleaned'],
  drained: ['cleaned'],
  adjusted: ['programmed', 'repaired'],
  programmed: ['adjusted'],
  unplugged: ['refitted'],
};

/** The dids of a part that its verbs come to, the strongest of each kind. Empty: none that it can have. */
export function settleDids(verbs: readonly (Did | 'fitted')[], able: readonly Did[], shared: boolean): Did[] {
  const off = verbs.includes('refitted') || verbs.includes('unplugged');
  const plain = verbs.map((did): Did => (did === 'fitted' ? (off ? 'refitted' : 'replaced') : did));
  const sensible = new Set(plain.flatMap((did) => (able.includes(did) ? [did] : [])));
  const dids = sensible.size > 0 ? sensible : new Set(plain.flatMap((did) => otherwise(did, able, shared) ?? []));
  if (dids.has('replaced'))
    for (const weaker of ['refitted', 'unplugged', 'repaired', 'cleaned'] as const) dids.delete(weaker);
  if (dids.has('refitted')) dids.delete('unplugged');
  if (dids.size > 1) dids.delete('inspected');
  return [...dids];
}

/** A verb lent by another part is not bent to fit this one, but fluids are replaced by draining them. */
function otherwise(did: Did, able: readonly Did[], shared: boolean): Did | undefined {
  const others = (shared && did !== 'replaced' && did !== 'repaired' ? [] : OTHERWISE[did]) ?? [];
  return others.find((other) => able.includes(other));
}
