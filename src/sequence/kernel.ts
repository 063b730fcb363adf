import { beam } from './beam.ts';
import { bestFirst } from './best-first.ts';
import { exchange } from './exchange.ts';
import type { Attempt, Field, Move, Ordering, Way } from './ordering.ts';
import { precedence } from './precedence.ts';
import { stable } from './stable.ts';

export interface KernelResult<M extends Move> extends Way<M> {
  /** no way costs less than this */
  readonly bound: number;
  readonly proved: boolean;
  /** labels expanded, over all parts of the search */
  readonly expansions: number;
}

/**
 * The sequential ordering problem: every step once, all precedence kept, least cost of the moves between them.
 *
 * The greedy way is a ceiling. A best-first search over (done-set, standing) below it then finds the best way, or proves
 * the ceiling to be one. Where its share of the budget ends before, wider beams and exchanges lower the ceiling, and the
 * bound that the search came to gives the gap. Last, of all ways of the least cost the first in a fixed order is taken, so
 * that the answer does not hang on how the search happened to run.
 *
 * The greedy way is found whatever the budget is. @throws CycleError where precedence runs in a circle
 */
export function order<M extends Move>(ordering: Ordering<M>, expansions: number): KernelResult<M> {
  const field: Field<M> = { ordering, precedence: precedence(ordering.count, ordering.before) };
  const first = beam(field, 1, Infinity);
  if (!first.way) throw new Error('no order: some step cannot be reached from some standing');
  let { way, bound, expansions: spent } = first;
  const take = (attempt: Attempt<M>): void => {
    if (attempt.way) way = attempt.way;
    bound = Math.max(bound, attempt.bound);
    spent += attempt.expansions;
  };
  const left = (share: number): number => Math.max(0, Math.floor((expansions - spent) * share));

  if (bound < way.cost) take(bestFirst(field, way.cost, left(searchShare)));
  if (bound < way.cost) {
    for (let width = 8; width * ordering.count <= left(beamShare); width *= 4) take(beam(field, width, way.cost));
    take(exchange(field, way, left(1)));
  }
  const proved = bound >= way.cost;
  if (proved) take(stable(field, way.cost, Math.min(left(1), Math.max(tieShare * spent, fewExpansions))));
  return { ...way, bound: Math.min(bound, way.cost), proved, expansions: spent };
}

/** Settling ties may spend this much more than the search did; past it the answer is as good, only less canonical. */
const tieShare = 4;
const fewExpansions = 20_000;

/** Of the budget, what the search for a proof may spend before the rest goes to finding better ways unproved. */
const searchShare = 0.6;

/** Of what is left after it, what one beam may spend; the rest goes to exchanges. */
const beamShare = 0.5;
