import type { Attempt, Field, Move, Way } from './ordering.ts';
import { add } from './precedence.ts';

/** Reckoning through so many exchanges takes about as long as expanding one label. */
const perExpansion = 8;

/** Kicks between two searches for a better way: enough that the exchanges do not simply undo them. */
const kicks = 3;

/**
 * Betters a way by letting two neighbouring stretches of it change places, as long as any such exchange saves anything;
 * then exchanges a few short stretches whatever it costs and betters that, again and again until `most` is used up. The
 * numbers that choose those stretches are always the same, and so is the way.
 */
export function exchange<M extends Move>(field: Field<M>, start: Way<M>, most: number): Attempt<M> {
  const allowance = { left: most * perExpansion };
  let way = better(field, start, allowance);
  let seed = 1;
  const below = (limit: number): number => {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0; // a congruential generator: Numerical Recipes, from memory
    return Math.floor((seed / 2 ** 32) * limit);
  };
  while (allowance.left > 0 && field.precedence.count > 2) {
    let kicked = way;
    for (let kick = 0; kick < kicks; kick++) {
      const from = below(field.precedence.count - 1);
      const middle = from + 1 + below(Math.min(5, field.precedence.count - from - 1));
      const reach = reachOf(field, kicked, from, middle);
      allowance.left--;
      if (reach === middle) continue;
      const to = middle + 1 + below(Math.min(5, reach - middle));
      kicked = exchanged(field, kicked, from, middle, to, Infinity) ?? kicked;
    }
    const tried = better(field, kicked, allowance);
    if (tried.cost <= way.cost) way = tried;
  }
  return { way, bound: 0, expansions: most - Math.floor(Math.max(0, allowance.left) / perExpansion) };
}

function better<M extends Move>(field: Field<M>, start: Way<M>, allowance: { left: number }): Way<M> {
  const { count } = field.precedence;
  let way = start;
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (let from = 0; from < count - 1; from++) {
      for (let middle = from + 1; middle < count; middle++) {
        const reach = reachOf(field, way, from, middle);
        for (let to = middle + 1; to <= reach; to++) {
          if (allowance.left-- <= 0) return way;
          const other = exchanged(field, way, from, middle, to, way.cost);
          if (!other) continue;
          way = other;
          isBetter = true;
          break;
        }
      }
    }
  }
  return way;
}

/** How far a stretch from `middle` may reach and still go before the one from `from`: no step of it needs one of those. */
function reachOf<M extends Move>({ precedence }: Field<M>, { steps }: Way<M>, from: number, middle: number): number {
  const { words, needs, count } = precedence;
  const first = new Int32Array(words);
  for (let at = from; at < middle; at++) add(first, steps[at]!);
  for (let to = middle; to < count; to++) {
    for (let word = 0; word < words; word++) if (needs[steps[to]! * words + word]! & first[word]!) return to;
  }
  return count;
}

/** The way with the steps from `from` up to `middle` and from there up to `to` exchanged, if it costs less than `limit`. */
function exchanged<M extends Move>(
  { ordering }: Field<M>,
  { steps, moves, cost }: Way<M>,
  from: number,
  middle: number,
  to: number,
  limit: number,
): Way<M> | undefined {
  const moved: M[] = [];
  let standing = from === 0 ? ordering.start : moves[from - 1]!.to;
  let saved = 0;
  let at = from;
  for (; at < steps.length; at++) {
    // Past the exchange, what follows is as it was as soon as things stand as they did.
    if (at >= to && standing === moves[at - 1]!.to) break;
    const move = ordering.moves(standing, steps[placeBefore(at, from, middle, to)]!)[0]!;
    moved.push(move);
    saved += moves[at]!.cost - move.cost;
    standing = move.to;
  }
  if (cost - saved >= limit) return undefined;
  return {
    steps: [...steps.slice(0, from), ...steps.slice(middle, to), ...steps.slice(from, middle), ...steps.slice(to)],
    moves: [...moves.slice(0, from), ...moved, ...moves.slice(at)],
    cost: cost - saved,
  };
}

/** Where a step stood that an exchange puts at this place. */
function placeBefore(at: number, from: number, middle: number, to: number): number {
  if (at >= to) return at;
  return at < from + to - middle ? at + middle - from : at - to + middle;
}
