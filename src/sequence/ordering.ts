import type { Labels } from './labels.ts';
import { add, has, isReady, lowest, open, type Precedence } from './precedence.ts';

/** Going from one standing to do a step. `to` is how things stand once the step is done. */
export interface Move {
  readonly to: number;
  /** a whole number, never below 0 */
  readonly cost: number;
  /** changes nothing, neither on the way to the step nor by doing it */
  readonly still: boolean;
}

/**
 * A sequential ordering problem in the form the search takes. Steps are numbered from 0 in the order that settles ties.
 * A standing is a number for all that a cost may depend on: the set-up in force, or the node a path has come to.
 */
export interface Ordering<M extends Move = Move> {
  readonly count: number;
  readonly before: readonly (readonly [number, number])[];
  readonly start: number;
  /** The ways to do a step from here, cheapest first; never empty. */
  moves(standing: number, step: number): readonly M[];
  /** A lower bound on the cost of all that is not done yet. */
  bound(done: Int32Array, standing: number): number;
  /**
   * The steps whose move from here is still, as a bit set, where taking such a step as soon as it is ready can never
   * cost more; null where that is not certain.
   */
  still(standing: number): Int32Array | null;
}

export interface Way<M extends Move> {
  readonly steps: readonly number[];
  readonly moves: readonly M[];
  readonly cost: number;
}

export interface Attempt<M extends Move> {
  /** a way cheaper than the ceiling that was given */
  readonly way?: Way<M>;
  readonly bound: number;
  readonly expansions: number;
}

export interface Field<M extends Move> {
  readonly ordering: Ordering<M>;
  readonly precedence: Precedence;
}

/** Adds every step that can be done without changing anything, and what these make ready in turn. */
export function settle<M extends Move>({ ordering, precedence }: Field<M>, done: Int32Array, standing: number): void {
  const still = ordering.still(standing);
  if (!still) return;
  for (let added = true; added; ) {
    added = false;
    for (let word = 0; word < precedence.words; word++) {
      for (let left = still[word]! & ~done[word]!; left !== 0; left &= left - 1) {
        const step = lowest(left, word);
        if (!isReady(precedence, done, step)) continue;
        add(done, step);
        added = true;
      }
    }
  }
}

/** The same steps as `settle` adds, one by one, lowest first whenever several are ready. */
function settleInOrder<M extends Move>(field: Field<M>, done: Int32Array, standing: number, into: Trail<M>): void {
  const { ordering, precedence } = field;
  const still = ordering.still(standing);
  if (!still) return;
  for (let step = 0; step < precedence.count; step++) {
    if (!has(still, step) || has(done, step) || !isReady(precedence, done, step)) continue;
    add(done, step);
    into.steps.push(step);
    into.moves.push(ordering.moves(standing, step)[0]!);
    step = -1;
  }
}

/**
 * Every choice that goes on from here: called with the step, the number of its move, and the move. Of steps that lead to
 * one standing and are still there, the lowest stands for all: once it is done the others follow without a choice.
 */
export function forEachChoice<M extends Move>(
  { ordering, precedence }: Field<M>,
  done: Int32Array,
  standing: number,
  visit: (step: number, at: number, move: M) => void,
): void {
  const led: number[] = [];
  for (let word = 0; word < precedence.words; word++) {
    for (let left = open(precedence, done, word); left !== 0; left &= left - 1) {
      const step = lowest(left, word);
      if (!isReady(precedence, done, step)) continue;
      const moves = ordering.moves(standing, step);
      for (let at = 0; at < moves.length; at++) {
        const { to } = moves[at]!;
        const still = ordering.still(to);
        if (still && has(still, step)) {
          if (led.includes(to)) continue;
          led.push(to);
        }
        visit(step, at, moves[at]!);
      }
    }
  }
}

interface Trail<M extends Move> {
  readonly steps: number[];
  readonly moves: M[];
}

/** The whole way, from the choices a search made: between them stand the steps that needed no choice. */
export function replay<M extends Move>(
  field: Field<M>,
  choices: readonly (readonly [step: number, move: number])[],
): Way<M> {
  const { ordering, precedence } = field;
  const done = new Int32Array(precedence.words);
  const trail: Trail<M> = { steps: [], moves: [] };
  let standing = ordering.start;
  let cost = 0;
  settleInOrder(field, done, standing, trail);
  for (const [step, move] of choices) {
    const taken = ordering.moves(standing, step)[move]!;
    add(done, step);
    trail.steps.push(step);
    trail.moves.push(taken);
    cost += taken.cost;
    standing = taken.to;
    settleInOrder(field, done, standing, trail);
  }
  return { ...trail, cost };
}

/** The way a label was reached. */
export function wayTo<M extends Move>(field: Field<M>, labels: Labels, label: number): Way<M> {
  const choices: [number, number][] = [];
  for (let at = label; labels.parent[at]! >= 0; at = labels.parent[at]!) {
    choices.push([labels.step[at]!, labels.move[at]!]);
  }
  return replay(field, choices.reverse());
}
