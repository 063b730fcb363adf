import type { ChangeModel, SequenceProblem, SequenceResult } from './problem.ts';

type Setup = Readonly<Record<string, string>>;

/**
 * Every fault of an order, or of a whole result with its set-ups and sums, as a sentence each; none means it may be used.
 * It says whether a result is right, not whether it is best. Shares no code with the search, so that it can catch it out.
 */
export function validate(problem: SequenceProblem, answer: readonly string[] | SequenceResult): string[] {
  if (!('order' in answer)) return faultsOfOrder(problem, answer);
  const faults = faultsOfOrder(problem, answer.order);
  // Set-ups and sums of an order that is not one of these steps would only repeat its faults.
  return faults.length > 0 ? faults : [...faultsOfSetups(problem, answer), ...faultsOfSums(problem, answer)];
}

function faultsOfOrder({ steps, before }: SequenceProblem, order: readonly string[]): string[] {
  const faults: string[] = [];
  const places = new Map<string, number>();
  const ids = new Set(steps.map(({ id }) => id));
  order.forEach((id, at) => {
    const earlier = places.get(id);
    if (!ids.has(id)) faults.push(`"${id}", at place ${at + 1}, is no step of this problem`);
    else if (earlier !== undefined) faults.push(`"${id}" stands twice, at places ${earlier + 1} and ${at + 1}`);
    else places.set(id, at);
  });
  for (const id of ids) if (!places.has(id)) faults.push(`"${id}" is missing`);
  for (const [first, second] of before) {
    const [one, other] = [places.get(first), places.get(second)];
    if (one !== undefined && other !== undefined && one >= other) {
      faults.push(
        `"${first}" must stand before "${second}", but stands at place ${one + 1} and the other at ${other + 1}`,
      );
    }
  }
  return faults;
}

function faultsOfSetups(problem: SequenceProblem, { order, setups }: SequenceResult): string[] {
  if (setups.length !== order.length) return [`${order.length} steps have ${setups.length} set-ups`];
  const faults: string[] = [];
  for (const { id, from, demanded, setup } of walk(problem, { order, setups })) {
    for (const dimension of Object.keys(problem.changes.dimensions)) {
      const wanted = demanded[dimension];
      if (setup[dimension] === undefined) faults.push(`"${id}": its set-up does not say ${dimension}`);
      else if (wanted !== undefined && wanted !== setup[dimension]) {
        faults.push(`"${id}" demands ${dimension} "${wanted}", but is done at "${setup[dimension]}"`);
      }
    }
    for (const pairs of problem.changes.forbidden) {
      if (holds(pairs, setup)) faults.push(`"${id}" is done with ${describe(pairs)}, which cannot hold together`);
    }
    const moved = Object.keys(setup).filter((d) => demanded[d] === undefined && setup[d] !== from[d]);
    const needless = subsets(moved).find(
      (some) => some.length > 0 && isAllowed(problem.changes, keep(setup, some, from)),
    );
    if (needless) faults.push(`"${id}": ${needless.join(' and ')} changed without need`);
  }
  return faults;
}

function faultsOfSums(problem: SequenceProblem, result: SequenceResult): string[] {
  let changes = 0;
  let changeMinutes = 0;
  for (const { from, setup } of walk(problem, result)) {
    for (const [dimension, { minutes, otherwise }] of Object.entries(problem.changes.dimensions)) {
      const [was, is] = [from[dimension] ?? '', setup[dimension] ?? ''];
      if (was === is) continue;
      changes++;
      const row = Object.entries(minutes).find(([value]) => value === was)?.[1] ?? {};
      changeMinutes += Object.entries(row).find(([value]) => value === is)?.[1] ?? otherwise;
    }
  }
  const workMinutes = problem.steps.reduce((sum, { minutes }) => sum + minutes, 0);
  const sums = { changeMinutes, changes, workMinutes, totalMinutes: changeMinutes + workMinutes };
  const faults = Object.entries(sums).flatMap(([name, right]) => {
    const said = result[name as keyof typeof sums];
    return Math.abs(said - right) <= 1e-6 * Math.max(1, right)
      ? []
      : [`${name} is said to be ${said}, and is ${right}`];
  });
  if (result.gap < 0 || result.gap > 1 || Number.isNaN(result.gap)) faults.push(`a gap of ${result.gap} is none`);
  if (result.proved && result.gap !== 0) faults.push(`proved, and yet with a gap of ${result.gap}`);
  return faults;
}

/** Each step with what stands when it begins, what it demands and what is said to be in force. */
function* walk({ steps, start }: SequenceProblem, { order, setups }: Pick<SequenceResult, 'order' | 'setups'>) {
  const byId = new Map(steps.map((step) => [step.id, step]));
  let from: Setup = start;
  for (const [at, id] of order.entries()) {
    const setup = setups[at] ?? {};
    const step = byId.get(id);
    yield { id, from, demanded: (step?.setup ?? {}) as Partial<Setup>, setup };
    from = { ...setup, ...step?.becomes };
  }
}

function holds(pairs: Setup, setup: Setup): boolean {
  return Object.entries(pairs).every(([dimension, value]) => setup[dimension] === value);
}

function isAllowed({ forbidden }: ChangeModel, setup: Setup): boolean {
  return !forbidden.some((pairs) => holds(pairs, setup));
}

function keep(setup: Setup, dimensions: readonly string[], from: Setup): Setup {
  const kept = dimensions.flatMap((dimension) => (from[dimension] === undefined ? [] : [[dimension, from[dimension]]]));
  return { ...setup, ...Object.fromEntries(kept) };
}

function subsets(all: readonly string[]): string[][] {
  return all.reduce<string[][]>((some, each) => [...some, ...some.map((more) => [...more, each])], [[]]);
}

function describe(pairs: Setup): string {
  return Object.entries(pairs)
    .map(([dimension, value]) => `${dimension} "${value}"`)
    .join(' and ');
}
