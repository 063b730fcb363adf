import { SURELY } from '../rulebook/condition.ts';
import type { State } from '../rulebook/rulebook.ts';
import type { Phase } from '../rulebook/schema.ts';
import type { Order } from './order.ts';
import type { Edge, Node } from './edges.ts';
import { type CauseNode, causeSentences, causeTree, reasonText } from './print.ts';
import { durationText, lineText } from './words.ts';
import type { Resolution } from './resolve.ts';
import type { CallLevel } from './result.ts';
import { handsMinutes, type PlannedWays, waitMinutes } from './ways.ts';

/** One thing to do, in its place. Plain data: the same object is printed, sent and drawn. */
export interface Step {
  /** The follow-up's id; a repeat carries "#2", "#3" ... behind it. */
  readonly id: string;
  readonly followUp: string;
  readonly title: string;
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly phase: Phase;
  /** The way it is planned with, and all that are possible on this car. */
  readonly way: string;
  readonly ways: readonly string[];
  /** Questions that decide between ways. */
  readonly wayOpen: readonly string[];
  readonly tool: string;
  /** A way fits, but no tool for one is in this shop: send the car out. */
  readonly toolMissing: boolean;
  /** The whole set-up in force while it is done, and what to change on the car before it. */
  readonly setup: Readonly<Record<string, string>>;
  readonly change: readonly Change[];
  /** Sentences: the work, the chain, the trait, the maker. */
  readonly because: readonly string[];
  /** The same as a tree, for screens that fold it. */
  readonly causes: readonly CauseNode[];
  /** Ids of the steps that come first, each with its reason. */
  readonly waitsFor: readonly string[];
  readonly waits: readonly {
    readonly step: string;
    readonly because: string;
    readonly perhaps?: boolean;
    readonly within?: string;
    readonly later?: string;
  }[];
  readonly minutes: { readonly hands: number; readonly wait: number; readonly ask?: string };
  /** Positions, one box each; empty = once. */
  readonly boxes: readonly string[];
  /** Follow-ups done within this one; their own proof is still asked. */
  readonly covers: readonly {
    readonly followUp: string;
    readonly title: string;
    readonly because: readonly string[];
  }[];
  /** Asked in its entry: states nobody set on this job. */
  readonly confirms: readonly { readonly question: string; readonly state: string; readonly text: string }[];
  /** The line on the repair order that is this step. */
  readonly onOrder?: string;
  readonly finish: 'shop' | 'owner';
  /** Steps of one number could not be ordered: the maker's order decides. */
  readonly block?: number;
  /** Questions on which its place in the order rests. */
  readonly orderWaitsFor?: readonly string[];
  /** Once the work is done, an earlier phase's step turns into "was it done?". */
  readonly asked?: 'open' | 'yes' | 'no' | 'cannot-tell';
}

export interface Change {
  readonly dimension: string;
  readonly from: string;
  readonly to: string;
  readonly minutes: number;
}

export interface Undecided {
  readonly followUp: string;
  readonly title: string;
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly phase: Phase;
  /** Ids of the questions whose answer could settle it. */
  readonly decides: readonly string[];
  readonly because: readonly string[];
  /** Steps it would come after, and before: where it will stand if needed. */
  readonly after: readonly string[];
  readonly before: readonly string[];
}

/** Where a step landed: the set-up in force, and what had to be changed for it. */
export interface Placed {
  readonly node: Node;
  readonly setup: Readonly<Record<string, string>>;
  readonly change: readonly Change[];
}

/** Writes the placed steps out. */
export function writeSteps(resolution: Resolution, order: Order, placed: readonly Placed[]): Step[] {
  const confirms = confirmsOf(resolution, placed);
  return placed.map((place) => writeStep(resolution, order, place, confirms.get(place.node.id) ?? []));
}

function writeStep(
  resolution: Resolution,
  order: Order,
  { node, setup, change }: Placed,
  confirms: Step['confirms'],
): Step {
  const { verdict } = node;
  const { followUp } = verdict;
  const ways = resolution.ways.get(followUp.id) as PlannedWays;
  const causes = causeTree(resolution, followUp);
  const block = order.blocks.findIndex((b) => b.nodes.includes(node.id));
  const waitsOn = order.waiting.get(node.id);
  const waits = waitsOf(resolution, order, node);
  return {
    id: node.id,
    followUp: followUp.id,
    title: followUp.title,
    level: verdict.level,
    safety: verdict.safety,
    phase: followUp.phase,
    way: ways.planned?.id ?? 'none',
    ways: ways.offered.map((way) => way.id),
    wayOpen: ways.decides,
    tool: ways.planned?.tool ?? 'none',
    toolMissing: ways.toolMissing,
    setup,
    change,
    because: causeSentences(causes, true),
    causes,
    waitsFor: waits.filter((w) => !w.perhaps).map((w) => w.step),
    waits,
    minutes: minutesOf(resolution, node),
    boxes: verdict.boxes,
    covers: coversOf(resolution, followUp.id),
    confirms,
    ...(verdict.onOrder ? { onOrder: lineText(resolution.rulebook, verdict.onOrder) } : {}),
    finish: ways.planned?.finish ?? 'shop',
    ...(block >= 0 ? { block: block + 1 } : {}),
    ...(waitsOn ? { orderWaitsFor: waitsOn } : {}),
    ...(verdict.asked ? { asked: verdict.asked } : {}),
  };
}

/** Steps that come first; one that is itself undecided is marked perhaps. */
function waitsOf(resolution: Resolution, order: Order, node: Node): Step['waits'] {
  return order.edges
    .filter((edge) => edge.after === node.id)
    .map((edge) => ({
      step: edge.before,
      because: reasonText(edge.reason),
      ...(perhaps(resolution, order, edge) ? { perhaps: true } : {}),
      ...(edge.within ? { within: durationText(edge.within) } : {}),
      ...(edge.later ? { later: durationText(edge.later) } : {}),
    }));
}

function perhaps(resolution: Resolution, order: Order, edge: Edge): boolean {
  const before = order.nodes.find((n) => n.id === edge.before);
  return before?.verdict.kind === 'undecided' || resolution.known.all(edge.open) !== SURELY;
}

export function minutesOf(resolution: Resolution, node: Node): Step['minutes'] {
  const { id } = node.verdict.followUp;
  const way = resolution.ways.get(id)?.planned;
  if (!way) return { hands: 0, wait: 0 };
  const answer = resolution.facts.answers.get(`wait:${id}`);
  const wait = way.text.minutes?.wait;
  const ask = typeof wait === 'object' && typeof answer !== 'number' ? wait.ask : undefined;
  return {
    hands: handsMinutes(way),
    wait: waitMinutes(way, typeof answer === 'number' ? answer : undefined),
    ...(ask ? { ask } : {}),
  };
}

function coversOf(resolution: Resolution, by: string): Step['covers'] {
  return [...resolution.verdicts.values()]
    .filter((v) => v.coveredBy?.id === by)
    .map((v) => ({
      followUp: v.followUp.id,
      title: v.followUp.title,
      because: causeSentences(causeTree(resolution, v.followUp)),
    }));
}

/** A state that has to be confirmed is asked once, in the entry of the first step that needs it, unless its leaver is on the list anyway. */
function confirmsOf(resolution: Resolution, placed: readonly Placed[]): Map<string, Step['confirms']> {
  const { rulebook, known, facts, ways } = resolution;
  const asked = new Map<string, { question: string; state: string; text: string }[]>();
  const done = new Set<string>();
  for (const { node } of placed) {
    const planned = ways.get(node.verdict.followUp.id) as PlannedWays;
    for (const { need } of planned.needs) {
      const state = rulebook.states.get(need.state) as State;
      if (state.start !== 'confirm' || done.has(state.id) || known.all(need.applies) === 1 || known.exists(state) === 1)
        continue;
      done.add(state.id);
      const made = state.leavers.some((l) => resolution.verdicts.get(l.id)?.kind === 'needed');
      if (made || facts.answers.has(`holds:${state.id}`)) continue;
      asked.set(node.id, [
        ...(asked.get(node.id) ?? []),
        { question: `holds:${state.id}`, state: state.id, text: state.question ?? `${state.title}?` },
      ]);
    }
  }
  return asked;
}

/** Undecided follow-ups, with where they will stand if needed. */
export function writeUndecided(resolution: Resolution, order: Order): Undecided[] {
  return order.nodes
    .filter((n) => n.verdict.kind === 'undecided' && n.id === n.verdict.followUp.id)
    .map(({ id, verdict }) => ({
      followUp: id,
      title: verdict.followUp.title,
      level: verdict.level,
      safety: verdict.safety,
      phase: verdict.followUp.phase,
      decides: verdict.decides,
      because: causeSentences(causeTree(resolution, verdict.followUp)),
      after: order.edges.filter((e) => e.after === id).map((e) => e.before),
      before: order.edges.filter((e) => e.before === id).map((e) => e.after),
    }));
}
