import { type Condition, EITHER, NEVER, type Range, SURELY } from '../rulebook/condition.ts';
import type { Applies, FollowUp, State } from '../rulebook/rulebook.ts';
import type { Duration } from '../rulebook/schema.ts';
import { type EdgeSet, type Node, seconds } from './edges.ts';
import { both } from './known.ts';
import type { Resolution } from './resolve.ts';
import type { Line } from './result.ts';
import { waySure } from './ways.ts';
import type { KeyedLine } from './work.ts';

/** One step's part in a state. */
export interface Role {
  readonly node: string;
  readonly followUp: FollowUp;
  readonly open: readonly Condition[];
  readonly because?: string;
  readonly line?: Line;
  readonly within?: Duration;
  readonly later?: Duration;
  readonly guard?: boolean;
}

export interface Roles {
  readonly leavers: Role[];
  readonly needers: Role[];
  readonly upsetters: Role[];
}

/** Reads every node's roles; a step that covers another leaves its states and inherits its upsets and `after`, not its needs. */
export class Derivation {
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
      for (const { followUp, applies } of [{ followUp: own, applies: [] }, ...this.coverable(own)]) {
        this.leaves(node.id, followUp, applies);
        this.upsets(node.id, followUp, applies);
        this.works(node.id, followUp, applies);
      }
    }
    // Last, so that needs of a state that nobody on the list leaves or upsets cost nothing.
    for (const node of this.nodes) this.needs(node.id, node.verdict.followUp);
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
    for (const { need, way } of planned.needs) {
      if (!this.byState.has(need.state)) continue;
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
    const sure = known.all(applies);
    if (sure === NEVER) return;
    const roles = this.byState.get(state) ?? { leavers: [], needers: [], upsetters: [] };
    this.byState.set(state, roles);
    const open = sure === SURELY ? [] : applies.filter((condition) => known.range(condition) === EITHER);
    // Nodes are read one after the other, so a node's own earlier role can only be the last.
    const last = roles[part].at(-1);
    if (last?.node !== role.node) roles[part].push({ ...role, open });
    else roles[part][roles[part].length - 1] = surer(last, { ...role, open });
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

/** Of two roles of one step in one state the surer counts; of two sure ones that with the tighter lag. */
function surer(had: Role, more: Role): Role {
  if (had.open.length !== more.open.length) return had.open.length < more.open.length ? had : more;
  if (more.open.length > 0) return had;
  const sooner = more.within && !(had.within && seconds(had.within) <= seconds(more.within));
  const longer = more.later && !(had.later && seconds(had.later) >= seconds(more.later));
  return sooner || longer ? more : had;
}

function pickText(from: { readonly because?: string }): { because?: string } {
  return from.because ? { because: from.because } : {};
}
