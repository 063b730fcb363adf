import { type Condition, holds, MOST_ROWS } from '../rulebook/condition.ts';
import type { Value } from '../rulebook/domain.ts';
import type { Known } from './known.ts';
import { type Edge, type Node, onePerPair } from './edges.ts';
import { precedence } from './precedence.ts';
import { repeat } from './repeat.ts';
import type { Resolution } from './resolve.ts';

/** Steps and the order between them, with every ring either taken apart or named. */
export interface Order {
  readonly nodes: readonly Node[];
  /** Free of rings: an order that keeps all of them exists. */
  readonly edges: readonly Edge[];
  /** Rings that some car this one can be makes true: the maker's order decides inside. */
  readonly blocks: readonly { readonly nodes: readonly string[]; readonly ring: readonly Edge[] }[];
  /** Steps whose place rests on an answer, with the questions. */
  readonly waiting: ReadonlyMap<string, readonly string[]>;
}

export function order(resolution: Resolution): Order {
  const first = precedence(resolution);
  const { nodes, edges } = repeat(first.nodes, first.edges);
  const blocks: { nodes: string[]; ring: readonly Edge[] }[] = [];
  const waiting = new Map<string, readonly string[]>();
  let kept = edges;
  for (const ring of rings(nodes, edges)) {
    const inside = edges.filter((e) => ring.has(e.before) && ring.has(e.after));
    const met = trueTogether(inside, resolution.known);
    kept = kept.filter((e) => !inside.includes(e));
    if (met.ring) {
      const members = [...ring].sort();
      blocks.push({ nodes: members, ring: met.ring });
      kept = spread(kept, ring, members);
    } else {
      kept = [...kept, ...inside.filter((e) => e.open.length === 0)];
      for (const node of ring) waiting.set(node, met.questions);
    }
  }
  return { nodes, edges: kept, blocks, waiting };
}

/** What stands before or after one step of a block stands before or after all of it; told once, by its own reason where it has one. */
function spread(edges: readonly Edge[], ring: ReadonlySet<string>, members: readonly string[]): Edge[] {
  const all = edges.flatMap((edge) => {
    if (ring.has(edge.after)) return [edge, ...members.map((after) => ({ ...edge, after }))];
    if (ring.has(edge.before)) return [edge, ...members.map((before) => ({ ...edge, before }))];
    return [edge];
  });
  return onePerPair([...edges, ...all]);
}

/** Sets of steps that all come before each other (Tarjan's strongly connected components of more than one). */
export function rings(nodes: readonly { id: string }[], edges: readonly Edge[]): Set<string>[] {
  const next = new Map<string, string[]>();
  for (const { before, after } of edges) next.set(before, [...(next.get(before) ?? []), after]);
  const found: Set<string>[] = [];
  const index = new Map<string, number>();
  const low = new Map<string, number>();
  const stack: string[] = [];
  const visit = (node: string): void => {
    index.set(node, index.size);
    low.set(node, index.get(node) as number);
    stack.push(node);
    for (const other of next.get(node) ?? []) {
      if (!index.has(other)) visit(other);
      if (stack.includes(other)) low.set(node, Math.min(low.get(node) as number, low.get(other) as number));
    }
    if (low.get(node) !== index.get(node)) return;
    const members = stack.splice(stack.indexOf(node));
    if (members.length > 1) found.push(new Set(members));
  };
  for (const { id } of nodes) if (!index.has(id)) visit(id);
  return found;
}

/** Whether some car makes a whole ring true; with too many unknowns to try, a ring is taken as possible. */
function trueTogether(edges: readonly Edge[], known: Known): { ring?: readonly Edge[]; questions: readonly string[] } {
  const conditions = [...new Set(edges.flatMap((e) => e.open))];
  const names = [...new Set(conditions.flatMap((c) => c.variables))]
    .filter((v) => known.possible(v)?.length !== 1)
    .sort();
  const choices = names.map((name) =>
    known.choices(
      name,
      conditions.filter((c) => c.variables.includes(name)),
    ),
  );
  const size = choices.reduce((product, c) => product * c.length, 1);
  if (size > MOST_ROWS) return { ring: shortestRing(edges) ?? edges, questions: names };
  let best: readonly Edge[] | undefined;
  for (let row = 0; row < size; row++) {
    const read = completion(row, names, choices, known);
    const ring = shortestRing(edges.filter((e) => e.open.every((c: Condition) => holds(c, read))));
    if (ring && (!best || ring.length < best.length)) best = ring;
  }
  return { ...(best ? { ring: best } : {}), questions: names };
}

function completion(
  row: number,
  names: readonly string[],
  choices: readonly (readonly Value[])[],
  known: Known,
): (variable: string) => Value {
  const values = new Map<string, Value>();
  let rest = row;
  names.forEach((name, i) => {
    const list = choices[i] as readonly Value[];
    values.set(name, list[rest % list.length] as Value);
    rest = Math.floor(rest / list.length);
  });
  return (variable) => values.get(variable) ?? (known.possible(variable)?.[0] as Value);
}

/** The ring with the fewest steps (breadth first from each step; ties by id). */
export function shortestRing(edges: readonly Edge[]): Edge[] | undefined {
  let best: Edge[] | undefined;
  for (const start of [...new Set(edges.map((e) => e.before))].sort()) {
    const came = new Map<string, Edge>();
    const queue = [start];
    for (let at = 0; at < queue.length; at++) {
      for (const edge of edges) {
        if (edge.before !== queue[at] || came.has(edge.after)) continue;
        came.set(edge.after, edge);
        queue.push(edge.after);
      }
    }
    const ring = trace(came, start);
    if (ring && (!best || ring.length < best.length)) best = ring;
  }
  return best;
}

function trace(came: ReadonlyMap<string, Edge>, start: string): Edge[] | undefined {
  const ring: Edge[] = [];
  let edge = came.get(start);
  while (edge) {
    ring.unshift(edge);
    if (edge.before === start) return ring;
    edge = came.get(edge.before);
  }
  return undefined;
}
