import type { FollowUp, Rulebook } from '../rulebook.ts';
import { all, any, type Car, describeCar, type Formula, findCar } from './car.ts';
import { apart, type MayEdge, mayEdges } from './edges.ts';
import type { Lint } from './lint.ts';
import { pulls } from './reach.ts';
import { called } from './relations.ts';

/** Paths tried from one step before the search says that it stopped. */
const MOST_PATHS = 20_000;

export const noRing: Lint = {
  id: 'no-ring',
  scope: 'order',
  says: 'no car and job make steps wait for each other in a ring, unless one of them is repeatable',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    const edges = mayEdges(rulebook).filter((e) => !e.repeats);
    const told = new Set<string>();
    for (const ring of strongComponents(edges)) {
      for (const start of [...ring].sort(byId)) {
        const found = shortestRing(
          start,
          edges.filter((e) => ring.has(e.before) && ring.has(e.after)),
          rulebook,
        );
        if (found === 'stopped')
          yield {
            file: start.file,
            pointer: '',
            message: `search for rings stopped after ${MOST_PATHS} paths`,
            hint: 'fewer needs between the same steps make it end',
          };
        if (!found || found === 'stopped') continue;
        const key = [...found.edges]
          .map((e) => e.before.id)
          .sort()
          .join(' ');
        if (told.has(key)) continue;
        told.add(key);
        const [first] = found.edges as [MayEdge];
        const words = found.edges.map((e) => e.why);
        yield {
          file: first.file,
          pointer: first.pointer,
          message: `${found.edges.length === 1 ? 'waits for itself' : `ring of ${found.edges.length} steps`}: ${words.join('; ')}`,
          hint: `for instance ${describeCar(found.car)}`,
        };
      }
    }
  },
};

export interface Ring {
  readonly edges: readonly MayEdge[];
  readonly car: Car;
}

/**
 * The ring through `start` with the fewest steps that one car makes true as a whole. Breadth first over paths, each kept
 * only while a car still has it, so most of what contradicts itself is never followed.
 */
function shortestRing(start: FollowUp, edges: readonly MayEdge[], rulebook: Rulebook): Ring | 'stopped' | undefined {
  const out = outgoing(edges);
  let paths: MayEdge[][] = [[]];
  let tried = 0;
  while (paths.length > 0) {
    const longer: MayEdge[][] = [];
    for (const path of paths) {
      for (const edge of out.get(path.at(-1)?.after ?? start) ?? []) {
        const next = extend(path, edge, start);
        if (!next) continue;
        if (++tried > MOST_PATHS) return 'stopped';
        const car = findCar(together(next, rulebook), rulebook.domains);
        if (car && edge.after === start) return { edges: next, car };
        if (car) longer.push(next);
      }
    }
    paths = longer;
  }
  return undefined;
}

/** A step is met once, and is done in one way. */
function extend(path: readonly MayEdge[], edge: MayEdge, start: FollowUp): MayEdge[] | undefined {
  if (edge.after !== start && path.some((e) => e.before === edge.after)) return undefined;
  if (edge.after === edge.before && path.length > 0) return undefined;
  const into = path.at(-1);
  if (into && differ(into.afterWay, edge.beforeWay)) return undefined;
  if (edge.after === start && differ(edge.afterWay, path[0]?.beforeWay)) return undefined;
  return [...path, edge];
}

function differ(a: unknown, b: unknown): boolean {
  return a !== undefined && b !== undefined && a !== b;
}

function together(path: readonly MayEdge[], rulebook: Rulebook): Formula {
  const steps = [...new Set(path.flatMap((e) => [e.before, e.after]))];
  return all(...path.map((e) => e.when), ...steps.map((s) => onList(s, rulebook)), apart(steps));
}

const lists = new WeakMap<Rulebook, Map<FollowUp, Formula>>();

/** Some job puts the step on its list: by work, or through a state (whose puller some other work calls for). */
function onList(step: FollowUp, rulebook: Rulebook): Formula {
  const known = lists.get(rulebook) ?? new Map<FollowUp, Formula>();
  lists.set(rulebook, known);
  const formula = known.get(step) ?? any([called(step), ...pulls(step, rulebook).map((p) => p.when)]);
  known.set(step, formula);
  return formula;
}

/** Sets of steps that may all come before each other (Tarjan), a step that may come before itself included. */
function strongComponents(edges: readonly MayEdge[]): Set<FollowUp>[] {
  const out = outgoing(edges);
  const found: Set<FollowUp>[] = [];
  const index = new Map<FollowUp, number>();
  const stack: FollowUp[] = [];
  const visit = (step: FollowUp): number => {
    let lowest = index.size;
    index.set(step, lowest);
    stack.push(step);
    for (const { after } of out.get(step) ?? []) {
      if (!index.has(after)) lowest = Math.min(lowest, visit(after));
      else if (stack.includes(after)) lowest = Math.min(lowest, index.get(after) as number);
    }
    if (lowest === index.get(step)) {
      const members = new Set(stack.splice(stack.indexOf(step)));
      if (members.size > 1 || (out.get(step) ?? []).some((e) => e.after === step)) found.push(members);
    }
    return lowest;
  };
  for (const step of [...out.keys()].sort(byId)) if (!index.has(step)) visit(step);
  return found;
}

function outgoing(edges: readonly MayEdge[]): Map<FollowUp, MayEdge[]> {
  const out = new Map<FollowUp, MayEdge[]>();
  for (const edge of edges) out.set(edge.before, [...(out.get(edge.before) ?? []), edge]);
  return out;
}

function byId(a: FollowUp, b: FollowUp): number {
  return a.id < b.id ? -1 : 1;
}
