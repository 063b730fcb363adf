import { MOST_ROWS, NEVER } from '../rulebook/condition.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Level } from '../rulebook/schema.ts';
import type { Known } from './known.ts';
import type { CallLevel, Kind } from './result.ts';
import { conditionsOf, Space } from './space.ts';
import { type Hit, type KeyedLine, mostLevel } from './work.ts';

/** What the work and the codes alone say of one follow-up. */
export interface Judgement {
  readonly kind: Kind;
  readonly level: CallLevel;
  /** Hits that speak on some car that this one can still be; `sure` = on all of them. */
  readonly speaking: readonly { readonly hit: Hit; readonly sure: boolean }[];
  /** Variables on which the verdict turns. */
  readonly decides: readonly string[];
  /** Variables on which required or recommended turns, where it is called for. */
  readonly grades: readonly string[];
}

const NOTHING: Judgement = { kind: 'excluded', level: 'recommended', speaking: [], decides: [], grades: [] };

const [NONE, RECOMMENDED, REQUIRED] = [0, 1, 2];

function strengthOf(level: Level): number {
  return level === 'required' ? REQUIRED : level === 'recommended' ? RECOMMENDED : NONE;
}

/** Hits of one line, which are ranked among themselves. */
interface Group {
  readonly most: number;
  readonly hits: number[];
  /** Groups of the lines this one was implied by. */
  readonly ancestors: number[];
}

/**
 * Complete over all triggers that the job hits together with `fits`: everything still unknown is enumerated jointly.
 * Over 4,096 combinations it stays undecided.
 */
export function judge(followUp: FollowUp, all: readonly Hit[], known: Known): Judgement {
  if (known.fits(followUp) === NEVER) return NOTHING;
  const hits = all.filter((hit) => known.all(conditionsOf(hit)) !== NEVER);
  if (!hits.some((hit) => hit.call.trigger.level !== 'not-needed')) return NOTHING;
  const space = new Space(followUp, hits, known);
  if (space.size > MOST_ROWS) {
    const required = (hit: Hit) =>
      Math.min(strengthOf(hit.call.trigger.level), strengthOf(mostLevel(hit.line))) === REQUIRED;
    const level = hits.some(required) ? 'required' : 'recommended';
    return {
      kind: 'undecided',
      level,
      speaking: hits.map((hit) => ({ hit, sure: false })),
      decides: space.names,
      grades: [],
    };
  }
  const groups = groupByLine(hits);
  const outcomes = new Uint8Array(space.size);
  const spoken = new Uint16Array(hits.length);
  space.each((row, fits, alive) => {
    outcomes[row] = fits ? speak(hits, groups, alive, spoken) : NONE;
  });
  const least = Math.min(...outcomes);
  const most = Math.max(...outcomes);
  if (most === NONE) return NOTHING;
  return {
    kind: least > NONE ? 'needed' : 'undecided',
    level: most === REQUIRED ? 'required' : 'recommended',
    speaking: hits.flatMap((hit, i) => ((spoken[i] as number) > 0 ? [{ hit, sure: spoken[i] === space.size }] : [])),
    decides: least > NONE ? [] : space.turningOn(outcomes, (a, b) => a > NONE !== b > NONE),
    grades:
      outcomes.includes(RECOMMENDED) && most === REQUIRED
        ? space.turningOn(outcomes, (a, b) => a + b === RECOMMENDED + REQUIRED)
        : [],
  };
}

function groupByLine(hits: readonly Hit[]): Group[] {
  const groups = new Map<KeyedLine | string, Group>();
  hits.forEach((hit, i) => {
    const key = hit.line ?? (hit.call.code as string);
    const group = groups.get(key);
    if (group) group.hits.push(i);
    else groups.set(key, { most: strengthOf(mostLevel(hit.line)), hits: [i], ancestors: [] });
  });
  const order = [...groups.keys()];
  for (const [key, group] of groups) {
    if (typeof key === 'string') continue;
    for (let origin = key.origin; origin.kind === 'implied'; origin = origin.parent.origin) {
      const at = order.indexOf(origin.parent as KeyedLine);
      if (at >= 0) group.ancestors.push(at);
    }
  }
  return [...groups.values()];
}

/**
 * Per line the highest rank among the triggers that apply speaks; at one rank the stronger level. A not-needed also
 * silences what its line implies, unless that speaks at a higher or equal rank.
 */
function speak(hits: readonly Hit[], groups: readonly Group[], alive: Uint8Array, spoken: Uint16Array): number {
  const says = groups.map((group) => {
    let rank = -1;
    let level = NONE;
    for (const i of group.hits) {
      if (!alive[i]) continue;
      const trigger = (hits[i] as Hit).call.trigger;
      const own = Math.min(strengthOf(trigger.level), group.most);
      if (trigger.rank > rank) [rank, level] = [trigger.rank, own];
      else if (trigger.rank === rank) level = Math.max(level, own);
    }
    return { rank, level };
  });
  let strongest = NONE;
  groups.forEach((group, g) => {
    const { rank, level } = says[g] as { rank: number; level: number };
    const silenced = group.ancestors.some((a) => says[a]?.level === NONE && (says[a]?.rank ?? -1) > rank);
    if (level === NONE || silenced) return;
    strongest = Math.max(strongest, level);
    for (const i of group.hits) {
      const trigger = (hits[i] as Hit).call.trigger;
      if (alive[i] && trigger.rank === rank && trigger.level !== 'not-needed') spoken[i] = (spoken[i] as number) + 1;
    }
  });
  return strongest;
}
