import type { State } from '../rulebook/rulebook.ts';
import { PHASES } from '../rulebook/schema.ts';
import { type Edge, EdgeSet, type Node, type Reason, reach } from './edges.ts';
import type { Resolution } from './resolve.ts';
import { Derivation, type Role, type Roles } from './roles.ts';
import type { PlannedWays } from './ways.ts';

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

/** Leaver before needers; upsetters before the leaver of a state that must hold, after leaver and needers of any other. */
function stateEdges(state: State, { leavers, needers, upsetters }: Roles, edges: EdgeSet): void {
  const phaseOf = (role: Role) => PHASES.indexOf(edges.phase(role.node));
  for (const leaver of leavers) {
    for (const needer of needers) if (edges.orders(leaver.node, needer.node)) edges.add(need(leaver, needer, state));
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
