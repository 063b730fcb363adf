import type { SequenceProblem, SequenceStep } from '../src/sequence/sequence.ts';

type Setup = Readonly<Record<string, string>>;

export interface Cost {
  readonly minutes: number;
  readonly changes: number;
}

/**
 * The best order by trying them all, written from the rules and sharing nothing with the search. Orders are tried in the
 * order that settles ties (what changes nothing first, then by id, then the cheapest set-up), and only a better one
 * replaces the best. Undefined where some step can never be set up.
 */
export function bruteForce(problem: SequenceProblem): (Cost & { readonly order: readonly string[] }) | undefined {
  let best: (Cost & { readonly order: readonly string[] }) | undefined;
  const go = (order: readonly string[], standing: Setup, sofar: Cost): void => {
    const open = problem.steps.filter(({ id }) => !order.includes(id));
    if (open.length === 0 && (!best || isLess(sofar, best))) best = { ...sofar, order };
    const choices = open
      .filter(({ id }) => problem.before.every(([first, second]) => second !== id || order.includes(first)))
      .flatMap((step) => moves(problem, standing, step).map((move) => ({ step, ...move })))
      .sort(
        (a, b) => Number(b.still) - Number(a.still) || (a.step.id === b.step.id ? 0 : a.step.id < b.step.id ? -1 : 1),
      );
    for (const { step, during, cost } of choices) {
      const sum = { minutes: sofar.minutes + cost.minutes, changes: sofar.changes + cost.changes };
      go([...order, step.id], { ...during, ...step.becomes }, sum);
    }
  };
  go([], problem.start, { minutes: 0, changes: 0 });
  return best;
}

/** Every lazy way to set up a step: what it demands, and as little else as forbidden combinations leave; cheapest first. */
function moves(problem: SequenceProblem, standing: Setup, step: SequenceStep) {
  const dimensions = Object.keys(problem.changes.dimensions).sort();
  const all = dimensions.reduce<Setup[]>(
    (some, d) => some.flatMap((setup) => domain(problem, d).map((value) => ({ ...setup, [d]: value }))),
    [{}],
  );
  const allowed = all.filter((setup) => !problem.changes.forbidden.some((pairs) => agrees(setup, pairs)));
  const fitting = allowed.filter((setup) => agrees(setup, step.setup));
  // Between two set-ups that fit, the one that differs less in what nobody demanded, and else in the same way, rules.
  const lazy = fitting.filter(
    (setup) => !fitting.some((other) => other !== setup && isPartWay(other, setup, standing)),
  );
  return lazy
    .map((during) => {
      const changed = dimensions.filter((d) => during[d] !== standing[d]);
      const minutes = changed.reduce((sum, d) => sum + price(problem, d, standing[d]!, during[d]!), 0);
      const still = changed.length === 0 && Object.keys(step.becomes ?? {}).length === 0;
      return { during, still, cost: { minutes, changes: changed.length } };
    })
    .sort((a, b) => byCost(a.cost, b.cost) || (JSON.stringify(a.during) < JSON.stringify(b.during) ? -1 : 1));
}

/** `other` is `setup` with some dimensions left standing. */
function isPartWay(other: Setup, setup: Setup, standing: Setup): boolean {
  return Object.keys(setup).every((d) => other[d] === setup[d] || other[d] === standing[d]);
}

function agrees(setup: Setup, pairs: Setup): boolean {
  return Object.entries(pairs).every(([d, value]) => setup[d] === value);
}

export function domain({ steps, start, changes }: SequenceProblem, dimension: string): string[] {
  const { minutes } = changes.dimensions[dimension]!;
  const named = [
    start,
    ...changes.forbidden,
    ...steps.map(({ setup }) => setup),
    ...steps.map((step) => step.becomes ?? {}),
  ];
  const values = [
    ...named.map((setup) => setup[dimension]!),
    ...Object.keys(minutes),
    ...Object.values(minutes).flatMap(Object.keys),
  ];
  return [...new Set(values.filter((value) => value !== undefined))].sort();
}

export function price({ changes }: SequenceProblem, dimension: string, from: string, to: string): number {
  const { minutes, otherwise } = changes.dimensions[dimension]!;
  return from === to ? 0 : (minutes[from]?.[to] ?? otherwise);
}

function byCost(a: Cost, b: Cost): number {
  return a.minutes - b.minutes || a.changes - b.changes;
}

function isLess(a: Cost, b: Cost): boolean {
  return byCost(a, b) < 0;
}
