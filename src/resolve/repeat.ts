import { type Edge, type Node, onePerPair, reach } from './edges.ts';

/**
 * A repeatable follow-up whose one instance would close a ring gets one more behind each step that upsets its state and
 * depends on it. Its other needers stand before the first such step, or behind the instance after the last one they
 * depend on.
 */
export function repeat(
  nodes: readonly Node[],
  edges: readonly Edge[],
): { nodes: readonly Node[]; edges: readonly Edge[] } {
  let plan = { nodes, edges };
  for (const node of needersFirst(
    nodes.filter((n) => n.verdict.followUp.repeatable),
    edges,
  ))
    plan = repeatOne(node, plan.nodes, plan.edges);
  return plan;
}

/** A repeat needs what the first instance needs, so the needer has to have its repeats before what it needs is repeated. */
function needersFirst(nodes: readonly Node[], edges: readonly Edge[]): Node[] {
  const sorted = inOrder(
    nodes.map((n) => n.id),
    edges.filter((e) => e.reason.kind === 'needs'),
  );
  return nodesOf(sorted.reverse(), nodes);
}

function repeatOne(
  node: Node,
  nodes: readonly Node[],
  edges: readonly Edge[],
): { nodes: readonly Node[]; edges: readonly Edge[] } {
  const upsets = edges.filter((e) => e.after === node.id && e.reason.kind === 'upsets');
  const without = edges.filter((e) => !upsets.includes(e));
  const behind = reach(without, node.id, 'after');
  const returning = upsets.filter((e) => behind.has(e.before));
  if (returning.length === 0) return { nodes, edges };
  const upsetters = inOrder(
    returning.map((e) => e.before),
    without,
  );
  const instances = [
    node,
    ...upsetters.map((upsetter, i) => ({
      id: `${node.id}#${i + 2}`,
      verdict: again(node, nodesOf([upsetter], nodes)[0] as Node, returning),
    })),
  ];
  const needs = without.filter((e) => e.before === node.id && !upsetters.includes(e.after));
  const asks = without.filter((e) => e.after === node.id && e.reason.kind === 'needs');
  const repeatedNeeds = instances.slice(1).flatMap(({ id }) => asks.map((e) => ({ ...e, after: id })));
  const rest = edges.filter(
    (e) => !returning.includes(e) && !needs.includes(e) && !(e.before === node.id && upsetters.includes(e.after)),
  );
  return {
    nodes: [...nodes, ...instances.slice(1)],
    edges: onePerPair([
      ...rest,
      ...repeatedNeeds,
      ...chain(instances, upsetters, returning, without),
      ...place(needs, nodesOf(upsetters, nodes), instances, without),
    ]),
  };
}

/** As sure as the step that makes it necessary. */
function again(node: Node, upsetter: Node, returning: readonly Edge[]): Node['verdict'] {
  const sure =
    upsetter.verdict.kind === 'needed' && returning.some((e) => e.before === upsetter.id && e.open.length === 0);
  return sure ? node.verdict : { ...node.verdict, kind: 'undecided' };
}

/** first instance, upsetter, second instance, upsetter ... */
function chain(
  instances: readonly Node[],
  upsetters: readonly string[],
  returning: readonly Edge[],
  edges: readonly Edge[],
): Edge[] {
  return upsetters.flatMap((upsetter, i) => {
    const again = returning.find((e) => e.before === upsetter) as Edge;
    const asks = edges.find((e) => e.before === instances[0]?.id && e.after === upsetter);
    const wait: Edge = {
      before: (instances[i] as Node).id,
      after: upsetter,
      reason: asks?.reason ?? again.reason,
      open: asks?.open ?? [],
    };
    return [wait, { ...again, after: (instances[i + 1] as Node).id }];
  });
}

function place(
  edges: readonly Edge[],
  upsetters: readonly Node[],
  instances: readonly Node[],
  all: readonly Edge[],
): Edge[] {
  return edges.flatMap((edge) => {
    // What ends a state that every instance needs stands behind the last of them.
    if (edge.reason.kind === 'keeps') return [{ ...edge, before: (instances.at(-1) as Node).id }];
    const rests = reach(all, edge.after, 'before');
    const last = upsetters.findLastIndex((upsetter) => rests.has(upsetter.id));
    const moved = { ...edge, before: (instances[last + 1] as Node).id };
    const next = upsetters[last + 1];
    if (!next || edge.reason.kind !== 'needs') return [moved];
    const reason = { kind: 'keeps', state: edge.reason.state, upsetter: next.verdict.followUp } as const;
    return [moved, { before: edge.after, after: next.id, reason, open: edge.open }];
  });
}

/** Those that depend on each other in that order, the rest by id. */
function inOrder(ids: readonly string[], edges: readonly Edge[]): string[] {
  const left = [...new Set(ids)].sort();
  const sorted: string[] = [];
  while (left.length > 0) {
    const free = left.findIndex((id) => {
      const before = reach(edges, id, 'before');
      return !left.some((other) => other !== id && before.has(other));
    });
    sorted.push(...left.splice(Math.max(0, free), 1));
  }
  return sorted;
}

function nodesOf(ids: readonly string[], nodes: readonly Node[]): Node[] {
  return ids.map((id) => nodes.find((node) => node.id === id) as Node);
}
