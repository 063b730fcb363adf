import { NEVER, SURELY } from '../rulebook/condition.ts';
import type { FollowUp, Need, Way } from '../rulebook/rulebook.ts';
import type { Known } from './known.ts';

/** How a follow-up will be done on this car. */
export interface PlannedWays {
  /** The one it is planned with; undefined where none fits this car. */
  readonly planned?: Way;
  /** Those it may come to, each only where none before it fits. */
  readonly open: readonly Way[];
  /** The first of them is it, on every car that this one can still be. */
  readonly sure: boolean;
  /** All that fit or may fit, for offering. */
  readonly offered: readonly Way[];
  readonly decides: readonly string[];
  /** A way fits, but its tool is not in this shop: sending the car out is offered. */
  readonly toolMissing: boolean;
  /** Of the follow-up, and of each way that it may come to. */
  readonly needs: readonly { readonly need: Need; readonly way?: Way }[];
}

/** Plans of follow-ups that have one way on every car: the same for every job. */
const onlyWay = new WeakMap<FollowUp, PlannedWays>();

/**
 * The first way in the file that surely fits and whose tool is there; ways before it that may fit keep it open, and it
 * is then planned with the longest of them. Only here does the order in a file count.
 */
export function planWays(followUp: FollowUp, known: Known, tools: ReadonlySet<string> | undefined): PlannedWays {
  const [only, second] = followUp.ways;
  if (!only || second || only.applies.length > 0 || (tools !== undefined && only.tool !== 'none'))
    return chooseWay(followUp, known, tools);
  const had = onlyWay.get(followUp) ?? chooseWay(followUp, known, tools);
  onlyWay.set(followUp, had);
  return had;
}

function chooseWay(followUp: FollowUp, known: Known, tools: ReadonlySet<string> | undefined): PlannedWays {
  const offered = followUp.ways.filter((way) => known.all(way.applies) !== NEVER);
  const there = offered.filter((way) => way.tool === 'none' || tools === undefined || tools.has(way.tool));
  const toolMissing = offered.length > 0 && there.length === 0;
  // While none whose tool is there is sure to fit, it can still come to one that is sent out for.
  const ranked = [...there, ...offered.filter((way) => !there.includes(way))];
  const surest = ranked.findIndex((way) => known.all(way.applies) === SURELY);
  const open = surest < 0 ? ranked : ranked.slice(0, surest + 1);
  const doable = open.filter((way) => there.includes(way));
  const planned = longest(doable.length > 0 ? doable : open);
  const decides = open.length > 1 ? [...new Set(open.flatMap((way) => known.open(way.applies)))] : [];
  const needs = needsOf(followUp, open);
  return { ...(planned ? { planned } : {}), open, sure: surest === 0, offered, decides, toolMissing, needs };
}

/** The first of those that take longest. */
function longest(ways: readonly Way[]): Way | undefined {
  if (ways.length < 2) return ways[0];
  return [...ways].sort((a, b) => wayMinutes(b) - wayMinutes(a))[0];
}

/** Whether a need, upset or work of a way is sure to come with the step. */
export function waySure(ways: PlannedWays, way: Way): boolean {
  return ways.sure && ways.open[0] === way;
}

function needsOf(followUp: FollowUp, open: readonly Way[]): PlannedWays['needs'] {
  return [
    ...followUp.needs.map((need) => ({ need })),
    ...open.flatMap((way) => way.needs.map((need) => ({ need, way }))),
  ];
}

/** Hands-on minutes: as stated, else as long as the drive lasts. */
export function handsMinutes(way: Way): number {
  const { minutes, drive } = way.text;
  return minutes?.hands ?? (drive?.minutes ?? 0) + (drive?.seconds ?? 0) / 60;
}

/** Waiting minutes; an unread data sheet counts with the least that is usual. */
export function waitMinutes(way: Way, answered?: number): number {
  const wait = way.text.minutes?.wait;
  if (answered !== undefined) return answered;
  const closing = way.text.closing?.wait;
  const close = closing ? (closing.seconds ?? 0) / 60 + (closing.minutes ?? 0) + (closing.hours ?? 0) * 60 : 0;
  return (typeof wait === 'object' ? wait.usual[0] : (wait ?? 0)) + close;
}

function wayMinutes(way: Way): number {
  const wait = way.text.minutes?.wait;
  return handsMinutes(way) + (typeof wait === 'object' ? wait.usual[1] : waitMinutes(way));
}
