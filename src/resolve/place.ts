import { PHASES } from '../rulebook/schema.ts';
import { type SequenceProblem, sequence } from '../sequence/sequence.ts';
import type { Order } from './order.ts';
import type { Node } from './edges.ts';
import type { Resolution } from './resolve.ts';
import { minutesOf, type Change, type Placed } from './step.ts';

export interface Placement {
  readonly steps: readonly Placed[];
  /** Minutes spent changing set-ups; phases that are over cost nothing any more. */
  readonly changeMinutes: number;
  readonly proved: boolean;
  readonly gap: number;
}

/** Puts the needed steps into the order that costs least, each phase for itself; the undecided have no place yet. */
export function place(resolution: Resolution, order: Order): Placement {
  const steps: Placed[] = [];
  let [changeMinutes, proved, gap] = [0, true, 0];
  for (const phase of PHASES) {
    const nodes = order.nodes.filter((n) => n.verdict.kind === 'needed' && n.verdict.followUp.phase === phase);
    if (nodes.length === 0) continue;
    const problem = problemOf(resolution, nodes, through(order));
    const result = sequence(problem);
    steps.push(...placedSteps(problem, result, nodes));
    if (!(resolution.facts.workDone && phase !== 'after')) changeMinutes += result.changeMinutes;
    proved &&= result.proved;
    gap = Math.max(gap, result.gap);
  }
  return { steps, changeMinutes, proved, gap };
}

/** Precedence among needed steps, also where it runs through steps that are still undecided. */
function through(order: Order): [string, string][] {
  const undecided = new Set(order.nodes.filter((n) => n.verdict.kind === 'undecided').map((n) => n.id));
  const next = new Map<string, string[]>();
  for (const { before, after } of order.edges) next.set(before, [...(next.get(before) ?? []), after]);
  const pairs: [string, string][] = [];
  for (const { id } of order.nodes) {
    if (undecided.has(id)) continue;
    const seen = new Set<string>();
    const open = [...(next.get(id) ?? [])];
    for (let node = open.pop(); node !== undefined; node = open.pop()) {
      if (seen.has(node)) continue;
      seen.add(node);
      if (undecided.has(node)) open.push(...(next.get(node) ?? []));
      else pairs.push([id, node]);
    }
  }
  return pairs;
}

function problemOf(
  resolution: Resolution,
  nodes: readonly Node[],
  pairs: readonly [string, string][],
): SequenceProblem {
  const { dimensions, forbidden } = resolution.rulebook.setups;
  const ids = new Set(nodes.map((n) => n.id));
  return {
    steps: nodes.map((node) => ({ id: node.id, minutes: total(resolution, node), ...setupOf(resolution, node) })),
    before: pairs.filter(([a, b]) => ids.has(a) && ids.has(b)),
    start: Object.fromEntries(Object.entries(dimensions).map(([id, d]) => [id, d.start])),
    changes: { dimensions, forbidden },
  };
}

function total(resolution: Resolution, node: Node): number {
  const { hands, wait } = minutesOf(resolution, node);
  return hands + wait;
}

function setupOf(
  { ways }: Resolution,
  node: Node,
): { setup: Readonly<Record<string, string>>; becomes: Readonly<Record<string, string>> } {
  const way = ways.get(node.verdict.followUp.id)?.planned;
  if (!way) return { setup: {}, becomes: {} };
  const { wait: _, text: __, sources: ___, ...closing } = way.text.closing ?? {};
  const closed = Object.fromEntries(
    Object.entries(closing).filter((e): e is [string, string] => typeof e[1] === 'string'),
  );
  return { setup: way.setup, becomes: { ...way.becomes, ...closed } };
}

function placedSteps(problem: SequenceProblem, result: ReturnType<typeof sequence>, nodes: readonly Node[]): Placed[] {
  let stands: Readonly<Record<string, string>> = problem.start;
  return result.order.map((id, i) => {
    const setup = result.setups[i] as Readonly<Record<string, string>>;
    const change = changes(problem, stands, setup);
    stands = { ...setup, ...problem.steps.find((s) => s.id === id)?.becomes };
    return { node: nodes.find((n) => n.id === id) as Node, setup, change };
  });
}

function changes(
  problem: SequenceProblem,
  from: Readonly<Record<string, string>>,
  to: Readonly<Record<string, string>>,
): Change[] {
  return Object.entries(problem.changes.dimensions).flatMap(([dimension, { minutes, otherwise }]) => {
    const [was, is] = [from[dimension] as string, to[dimension] as string];
    return was === is ? [] : [{ dimension, from: was, to: is, minutes: minutes[was]?.[is] ?? otherwise }];
  });
}
