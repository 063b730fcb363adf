import { beam } from './beam.ts';
import { order } from './kernel.ts';
import { isMetric, minutes, type Model, modelOf } from './model.ts';
import type { Ordering, Way } from './ordering.ts';
import { Outlook } from './outlook.ts';
import { precedence } from './precedence.ts';
import type { Budget, SequenceProblem, SequenceResult } from './problem.ts';
import { refuse } from './refuse.ts';
import { type SetupMove, Setups } from './setups.ts';

export { CycleError } from './precedence.ts';
export type { Budget, ChangeModel, SequenceProblem, SequenceResult, SequenceStep } from './problem.ts';
export { validate } from './validate.ts';

const usualExpansions = 100_000;

/**
 * Puts steps in the order with the least change-over time; with equal time, the fewest changes; of those, at the first
 * difference, what can be done as the car stands before what needs a change, and then the lower id. The order in which
 * steps, pairs or dimensions are given is irrelevant.
 *
 * A dimension is changed when a step demands it and not before; one that no step demands is moved only where keeping it
 * would make a forbidden combination. A change costs what its table says from value to value, by no detour.
 *
 * @throws CycleError where precedence runs in a circle, naming a shortest one
 * @throws Error where the problem names what is not there, or a step whose set-up is forbidden
 */
export function sequence(problem: SequenceProblem, budget: Budget = {}): SequenceResult {
  const { sorted, model, ordering } = prepare(problem);
  const found = order(ordering, budget.expansions ?? usualExpansions);
  return resultOf(sorted, model, found, found.bound);
}

/** The same shape at once: always the step that promises most next. Rarely proved, but valid, with an honest gap. */
export function greedy(problem: SequenceProblem): SequenceResult {
  const { sorted, model, ordering } = prepare(problem);
  const field = { ordering, precedence: precedence(ordering.count, ordering.before) };
  const { way, bound } = beam(field, 1, Infinity);
  if (!way) throw new Error('no order was found');
  return resultOf(sorted, model, way, bound);
}

function prepare(problem: SequenceProblem) {
  refuse(problem);
  const steps = problem.steps.toSorted((a, b) => (a.id < b.id ? -1 : 1));
  const sorted = { ...problem, steps };
  const numbers = new Map(steps.map(({ id }, at) => [id, at]));
  const before = problem.before.map(([first, second]) => [numbers.get(first)!, numbers.get(second)!] as const);
  const kept = precedence(steps.length, before, (step) => steps[step]!.id);
  const model = modelOf(sorted);
  const setups = new Setups(model);
  const start = setups.number(model.start);
  for (const [at, step] of steps.entries()) {
    if (setups.moves(start, at).length > 0) continue;
    throw new Error(
      `step "${step.id}": its set-up ${JSON.stringify(step.setup)} is forbidden whatever else is changed`,
    );
  }
  const outlook = new Outlook(model, kept);
  const metric = isMetric(model);
  const ordering: Ordering<SetupMove> = {
    count: steps.length,
    before,
    start,
    moves: (standing, step) => setups.moves(standing, step),
    bound: (done, standing) => outlook.ahead(done, standing, setups.values[standing]!),
    still: (standing) => (metric ? setups.still(standing) : null),
  };
  return { sorted, model, ordering };
}

function resultOf(problem: SequenceProblem, model: Model, way: Way<SetupMove>, bound: number): SequenceResult {
  const { steps, changes, start } = problem;
  const order = way.steps.map((step) => steps[step]!.id);
  const setups = way.moves.map(({ during }) => named(model, during));
  const changeMinutes = way.steps.reduce((sum, step, at) => {
    const from = at === 0 ? start : { ...setups[at - 1], ...steps[way.steps[at - 1]!]!.becomes };
    return sum + model.dimensions.reduce((more, d) => more + minutes(changes, d, from[d]!, setups[at]![d]!), 0);
  }, 0);
  const workMinutes = steps.reduce((sum, step) => sum + step.minutes, 0);
  const proved = bound >= way.cost;
  const least = Math.floor(bound / model.perTime);
  const found = Math.floor(way.cost / model.perTime);
  return {
    order,
    setups,
    changeMinutes,
    changes: way.moves.reduce((sum, move) => sum + move.changes, 0),
    workMinutes,
    totalMinutes: changeMinutes + workMinutes,
    proved,
    gap: proved || found === 0 ? 0 : (found - least) / found,
  };
}

function named(model: Model, during: readonly number[]): Record<string, string> {
  return Object.fromEntries(model.dimensions.map((dimension, at) => [dimension, model.values[at]![during[at]!]!]));
}
