import type { Applies, FollowUp, State } from '../rulebook/rulebook.ts';
import type { Duration, Phase } from '../rulebook/schema.ts';
import type { Line, Verdict } from './result.ts';

/** A step of the plan: a needed or undecided follow-up, or one more instance of a repeatable one. */
export interface Node {
  /** Follow-up id, "#2" and so on for repeats. */
  readonly id: string;
  readonly verdict: Verdict;
}

/** `before` must be finished before `after` starts. */
export interface Edge {
  readonly before: string;
  readonly after: string;
  readonly reason: Reason;
  /** Conditions not settled on this car; empty = it holds. */
  readonly open: Applies;
  readonly within?: Duration;
  readonly later?: Duration;
}

export type Reason =
  | { readonly kind: 'needs'; readonly state: State; readonly guard: boolean; readonly because?: string }
  | {
      readonly kind: 'upsets';
      readonly state: State;
      readonly upsetter: FollowUp;
      readonly line?: Line;
      readonly because?: string;
    }
  | { readonly kind: 'keeps'; readonly state: State; readonly upsetter: FollowUp }
  | { readonly kind: 'after'; readonly because: string; readonly through: readonly FollowUp[] }
  | { readonly kind: 'stands'; readonly step: FollowUp };

/** Keeps one edge for each pair: the surest, else the first reason; lags add up to the strictest. Only steps of one phase are ordered among themselves. */
export class EdgeSet {
  private readonly edges = new Map<string, Edge>();

  constructor(private readonly verdicts: ReadonlyMap<string, Verdict>) {}

  add(edge: Edge): void {
    if (!this.orders(edge.before, edge.after)) return;
    const key = `${edge.before}>${edge.after}`;
    const had = this.edges.get(key);
    this.edges.set(key, had ? together(had, edge) : edge);
  }

  orders(one: string, other: string): boolean {
    return one !== other && this.phase(one) === this.phase(other);
  }

  phase(node: string): Phase {
    return (this.verdicts.get(node) as Verdict).followUp.phase;
  }

  list(): Edge[] {
    return [...this.edges].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, edge]) => edge);
  }
}

/** The first edge of each pair, unless a later one is surer. */
export function onePerPair(edges: readonly Edge[]): Edge[] {
  const told = new Map<string, Edge>();
  for (const edge of edges) {
    const pair = `${edge.before}>${edge.after}`;
    const had = told.get(pair);
    if (!had || (had.open.length > 0 && edge.open.length === 0)) told.set(pair, edge);
  }
  return [...told.values()];
}

function together(had: Edge, edge: Edge): Edge {
  const within = strictest(had.within, edge.within, Math.min);
  const later = strictest(had.later, edge.later, Math.max);
  const sameSure = had.open.length > 0 === edge.open.length > 0;
  // Of equal reasons a need is told: a repeat is placed by it.
  const surer = sameSure
    ? had.reason.kind !== 'needs' && edge.reason.kind === 'needs'
      ? edge
      : had
    : edge.open.length === 0
      ? edge
      : had;
  return { ...surer, ...(within ? { within } : {}), ...(later ? { later } : {}) };
}

function strictest(
  a: Duration | undefined,
  b: Duration | undefined,
  pick: (...values: number[]) => number,
): Duration | undefined {
  if (!a || !b) return a ?? b;
  return seconds(a) === pick(seconds(a), seconds(b)) ? a : b;
}

export function seconds(duration: Duration): number {
  return (duration.seconds ?? 0) + (duration.minutes ?? 0) * 60 + (duration.hours ?? 0) * 3600;
}

/** All that comes after (or before) a node. */
export function reach(edges: readonly Edge[], from: string, way: 'after' | 'before'): Set<string> {
  const seen = new Set<string>();
  const open = [from];
  for (let node = open.pop(); node !== undefined; node = open.pop()) {
    for (const edge of edges) {
      const [here, there] = way === 'after' ? [edge.before, edge.after] : [edge.after, edge.before];
      if (here !== node || seen.has(there)) continue;
      seen.add(there);
      open.push(there);
    }
  }
  return seen;
}
