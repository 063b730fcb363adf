import { type Condition, EITHER, NEVER, type Range, SURELY } from '../rulebook/condition.ts';
import type { Applies, FollowUp, State } from '../rulebook/rulebook.ts';
import { type Duration, PHASES, type Phase } from '../rulebook/schema.ts';
import { both } from './known.ts';
import type { Resolution } from './resolve.ts';
import type { Line, Verdict } from './result.ts';
import { needsOf, type PlannedWays, waySure } from './ways.ts';
import type { KeyedLine } from './work.ts';

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

/** One step's part in a state. */
interface Role {
  readonly node: string;
  readonly followUp: FollowUp;
  readonly open: readonly Condition[];
  readonly because?: string;
  readonly line?: Line;
  readonly within?: Duration;
  readonly later?: Duration;
  readonly guard?: boolean;
}

interface Roles {
  readonly leavers: Role[];
  readonly needers: Role[];
  readonly upsetters: Role[];
}

/** Derives the order from needs, leaves, upsets and after; one instance of each step, repeats and cycles come later. */
export function precedence(resolution: Resolution): { nodes: Node[]; edges: Edge[] } {
  const nodes = [...resolution.verdicts.values()]
    .filter((v) => v.kind !== 'excluded' && !v.coveredBy)
    .map((verdict) => ({ id: verdict.followUp.id, verdict }));
  const derive = new Derivation(resolution, nodes);
  const edges = new EdgeSet(resolution.verdicts);
  for (const [id, roles] of derive.roles()) stateEdges(resolution.rulebook.states.get(id) as State, roles, edges);
  for (const node of nodes) derive.after(node, edges);
  standing(nodes, edges, resolution.ways);
  return { nodes, edges: edges.list() };
}

/** Keeps one edge for each pair: the surest, else the first reason; lags add up to the strictest. Only steps of one phase are ordered among themselves. */
export class EdgeSet {
  private readonly edges = new Map<string, Edge>();

  constructor(private readonly verdicts: ReadonlyMap<string, Verdict>) {}

  add(edge: Edge): void {
    if (edge.before === edge.after || this.phase(edge.before) !== this.phase(edge.after)) return;
    const key = `${edge.before}>${edge.after}`;
    const had = this.edges.get(key);
    this.edges.set(key, had ? together(had, edge) : edge);
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

function seconds(duration: Duration): number {
  return (duration.seconds ?? 0) + (duration.minutes ?? 0) * 60 + (duration.hours ?? 0) * 3600;
}

/** Leaver before needers; upsetters before the leaver of a state that must hold, after leaver and needers of any other. */
function stateEdges(state: State, { leavers, needers, upsetters }: Roles, edges: EdgeSet): void {
  const phaseOf = (role: Role) => PHASES.indexOf(edges.phase(role.node));
  for (const leaver of leavers) {
    for (const needer of needers) edges.add(need(leaver, needer, state));
    for (const upsetter of upsetters) {
      if (leavers.some((l) => l.node === upsetter.node)) continue;
      if (state.delivery === 'must') edges.add(upset(upsetter, leaver, state));
      else edges.add(keepTill(leaver, upsetter, state));
    }
  }
  for (const needer of needers) {
    const early = leavers.every((leaver) => phaseOf(needer) < phaseOf(leaver));
    if (state.delivery === 'must' && !early) continue;
    for (const upsetter of upsetters) edges.add(keepTill(needer, upsetter, state));
  }
}

function need(leaver: Role, needer: Role, state: State): Edge {
  return {
    before: leaver.node,
    after: needer.node,
    reason: {
      kind: 'needs',
      state,
      guard: needer.guard ?? false,
      ...(needer.because ? { because: needer.because } : {}),
    },
    open: [...leaver.open, ...needer.open],
    ...(needer.within ? { within: needer.within } : {}),
    ...(leaver.later ? { later: leaver.later } : {}),
  };
}

function upset(upsetter: Role, leaver: Role, state: State): Edge {
  const { line, because } = upsetter;
  const reason: Reason = {
    kind: 'upsets',
    state,
    upsetter: upsetter.followUp,
    ...(line ? { line } : {}),
    ...(because ? { because } : {}),
  };
  return { before: upsetter.node, after: leaver.node, reason, open: [...upsetter.open, ...leaver.open] };
}

function keepTill(first: Role, upsetter: Role, state: State): Edge {
  return {
    before: first.node,
    after: upsetter.node,
    reason: { kind: 'keeps', state, upsetter: upsetter.followUp },
    open: [...first.open, ...upsetter.open],
  };
}

/** Reads every node's roles; a step that covers another leaves its states and inherits its upsets and `after`, not its needs. */
class Derivation {
  private readonly byState = new Map<string, Roles>();
  private readonly nodeOf = new Map<string, string>();

  constructor(
    private readonly resolution: Resolution,
    private readonly nodes: readonly Node[],
  ) {
    for (const { id } of nodes) this.nodeOf.set(id, id);
    for (const verdict of resolution.verdicts.values())
      if (verdict.coveredBy) this.nodeOf.set(verdict.followUp.id, verdict.coveredBy.id);
  }

  roles(): ReadonlyMap<string, Roles> {
    for (const node of this.nodes) {
      const own = node.verdict.followUp;
      this.needs(node.id, own);
      for (const { followUp, applies } of [{ followUp: own, applies: [] }, ...this.coverable(own)]) {
        this.leaves(node.id, followUp, applies);
        this.upsets(node.id, followUp, applies);
        this.works(node.id, followUp, applies);
      }
    }
    return this.byState;
  }

  /** What a step does within itself, with the condition under which it does. */
  private coverable(followUp: FollowUp): { followUp: FollowUp; applies: Applies }[] {
    return followUp.covers
      .filter((c) => this.resolution.known.all(c.applies) !== NEVER)
      .flatMap((c) => {
        const verdict = this.resolution.verdicts.get(c.step);
        return verdict && verdict.kind !== 'excluded' ? [{ followUp: verdict.followUp, applies: c.applies }] : [];
      });
  }

  private needs(node: string, followUp: FollowUp): void {
    const { known, rulebook, ways } = this.resolution;
    const planned = ways.get(followUp.id);
    if (!planned) return;
    for (const { need, way } of needsOf(followUp, planned)) {
      const more = way && !waySure(planned, way) ? way.applies : [];
      const exists = known.exists(rulebook.states.get(need.state) as State);
      if (exists === NEVER) continue;
      this.add('needers', need.state, [...need.applies, ...more], {
        node,
        followUp,
        ...pickText(need),
        ...(need.within ? { within: need.within } : {}),
        ...(need.guard ? { guard: true } : {}),
      });
    }
  }

  private leaves(node: string, followUp: FollowUp, only: Applies): void {
    for (const leave of followUp.leaves)
      this.add('leavers', leave.state, [...leave.applies, ...only], {
        node,
        followUp,
        ...(leave.later ? { later: leave.later } : {}),
      });
  }

  private upsets(node: string, followUp: FollowUp, only: Applies): void {
    const planned = this.resolution.ways.get(followUp.id);
    for (const upset of followUp.upsets)
      this.add('upsetters', upset.state, [...upset.applies, ...only], { node, followUp, ...pickText(upset) });
    for (const way of planned?.open ?? []) {
      const more = planned && waySure(planned, way) ? [] : way.applies;
      for (const upset of way.upsets)
        this.add('upsetters', upset.state, [...upset.applies, ...more, ...only], {
          node,
          followUp,
          ...pickText(upset),
        });
    }
  }

  /** Work that a step does, and the order's line that is the step, upset what the follow-ups called for by it leave. */
  private works(node: string, followUp: FollowUp, only: Applies): void {
    const { verdicts, stepLines, rulebook } = this.resolution;
    const own = verdicts.get(followUp.id)?.onOrder as KeyedLine | undefined;
    const lines = [...(stepLines.get(followUp.id) ?? []), ...(own ? [own] : [])];
    if (lines.length === 0) return;
    for (const other of verdicts.values()) {
      if (other.followUp === followUp) continue;
      const cause = other.causes.find((c) => c.kind === 'call' && lines.includes(c.line as KeyedLine));
      if (cause?.kind !== 'call' || !cause.line) continue;
      const open = [...cause.trigger.applies, ...(cause.line as KeyedLine).guard, ...only];
      for (const leave of other.followUp.leaves)
        this.add('upsetters', leave.state, [...leave.applies, ...open], {
          node,
          followUp,
          line: cause.line,
          because: cause.trigger.because,
        });
    }
    const powerCut = lines.find((line) => line.did === 'power-lost');
    if (!powerCut) return;
    for (const state of rulebook.states.values())
      if (state.lapses === 'power-lost')
        this.add('upsetters', state.id, [...powerCut.guard, ...only], { node, followUp, line: powerCut });
  }

  private add(part: keyof Roles, state: string, applies: Applies, role: Omit<Role, 'open'>): void {
    const { known } = this.resolution;
    if (known.all(applies) === NEVER) return;
    const roles = this.byState.get(state) ?? { leavers: [], needers: [], upsetters: [] };
    this.byState.set(state, roles);
    const open = applies.filter((condition) => known.range(condition) === EITHER);
    const had = roles[part].findIndex((r) => r.node === role.node);
    if (had < 0) roles[part].push({ ...role, open });
    else if ((roles[part][had] as Role).open.length > open.length) roles[part][had] = { ...role, open };
  }

  /** A stated order reaches through steps that are not on the list. */
  after(node: Node, edges: EdgeSet): void {
    const own = node.verdict.followUp;
    this.reach(node.id, own, [], SURELY, [], edges);
    for (const { followUp, applies } of this.coverable(own)) {
      const { known } = this.resolution;
      this.reach(
        node.id,
        followUp,
        [],
        known.all(applies),
        applies.filter((c) => known.range(c) === EITHER),
        edges,
      );
    }
  }

  private reach(
    node: string,
    from: FollowUp,
    through: readonly FollowUp[],
    sure: Range,
    open: Applies,
    edges: EdgeSet,
  ): void {
    const { known, rulebook } = this.resolution;
    for (const after of from.after) {
      const target = rulebook.followUps.get(after.step);
      const here = both(sure, known.all(after.applies));
      if (!target || here === NEVER || through.includes(target)) continue;
      const conditions = [...open, ...after.applies.filter((c) => known.range(c) === EITHER)];
      const before = this.nodeOf.get(target.id);
      if (before !== undefined)
        edges.add({
          before,
          after: node,
          reason: { kind: 'after', because: after.because, through },
          open: conditions,
        });
      else this.reach(node, target, [...through, target], here, conditions, edges);
    }
  }
}

function pickText(from: { readonly because?: string }): { because?: string } {
  return from.because ? { because: from.because } : {};
}

/**
 * "first" before all, "last" after all of its phase, except what depends on it. A step that ends with the owner stands
 * behind the last one: nothing in the shop waits for it.
 */
function standing(nodes: readonly Node[], edges: EdgeSet, ways: ReadonlyMap<string, PlannedWays>): void {
  for (const stands of ['first', 'last'] as const) {
    const ends = nodes.filter((n) => n.verdict.followUp.stands === stands);
    for (const end of ends) {
      const list = edges.list();
      const reached = reach(list, end.id, stands === 'last' ? 'after' : 'before');
      const bound = reach(list, end.id, stands === 'last' ? 'before' : 'after');
      for (const other of nodes) {
        if (
          other.id === end.id ||
          reached.has(other.id) ||
          bound.has(other.id) ||
          other.verdict.followUp.stands === stands
        )
          continue;
        const [before, after] =
          (stands === 'first') === !(stands === 'last' && endsWithOwner(other, ways))
            ? [end.id, other.id]
            : [other.id, end.id];
        edges.add({ before, after, reason: { kind: 'stands', step: end.verdict.followUp }, open: [] });
      }
    }
  }
}

/** On this car: by the way it is planned with. */
function endsWithOwner(node: Node, ways: ReadonlyMap<string, PlannedWays>): boolean {
  return ways.get(node.verdict.followUp.id)?.planned?.finish === 'owner';
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
