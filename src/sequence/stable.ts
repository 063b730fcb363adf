import { Labels } from './labels.ts';
import { type Attempt, type Field, forEachChoice, type Move, replay, settle } from './ordering.ts';
import { add } from './precedence.ts';

/**
 * Of all ways that cost exactly `best`, the least there is: the one that at the first difference goes on without a change
 * where it can, then takes the lowest step, then the first of its moves. Depth first in that very order, so the first way
 * that comes to its end is the one. No way is given when `most` is used up before.
 */
export function stable<M extends Move>(field: Field<M>, best: number, most: number): Attempt<M> {
  const { ordering, precedence } = field;
  // The labels from which no way of this cost goes on; their cost is the least they were left with.
  const failed = new Labels(precedence.words);
  const choices: [step: number, move: number][] = [];
  let expansions = 0;

  const search = (done: Int32Array, standing: number, cost: number): boolean => {
    settle(field, done, standing);
    let label = failed.find(done, standing);
    if (label >= 0 && cost >= failed.cost[label]!) return false;
    if (label < 0) label = failed.insert(done, standing, Infinity, ordering.bound(done, standing));
    if (cost + failed.ahead[label]! > best) return false;
    const ahead = choicesFrom(field, done, standing);
    if (ahead.length === 0) return true;
    if (expansions++ >= most) return false;
    for (const { step, at, move } of ahead) {
      const next = done.slice();
      add(next, step);
      choices.push([step, at]);
      if (search(next, move.to, cost + move.cost)) return true;
      choices.pop();
    }
    failed.cost[label] = cost;
    return false;
  };

  const found = search(new Int32Array(precedence.words), ordering.start, 0);
  return found ? { way: replay(field, choices), bound: best, expansions } : { bound: best, expansions };
}

interface Choice<M extends Move> {
  readonly step: number;
  readonly at: number;
  readonly move: M;
}

/** What can come next, in the order that settles ties; empty only when all is done. */
function choicesFrom<M extends Move>(field: Field<M>, done: Int32Array, standing: number): Choice<M>[] {
  const choices: Choice<M>[] = [];
  forEachChoice(field, done, standing, (step, at, move) => choices.push({ step, at, move }));
  return choices.sort((a, b) => Number(b.move.still) - Number(a.move.still) || a.step - b.step || a.at - b.at);
}
