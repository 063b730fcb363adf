import { Labels } from './labels.ts';
import { type Attempt, type Field, forEachChoice, type Move, settle, wayTo } from './ordering.ts';
import { add, size } from './precedence.ts';
import { Queue } from './queue.ts';

/**
 * Expands labels in the order of cost so far plus the bound on what is ahead, and keeps one label for each done-set and
 * standing: the cheaper one dominates, as what follows is the same. The first whole way taken from the queue is the best;
 * a queue that runs empty proves that none is below the ceiling; stopped earlier, the least promise left in the queue is
 * a bound on every way.
 */
export function bestFirst<M extends Move>(field: Field<M>, ceiling: number, most: number): Attempt<M> {
  const { ordering, precedence } = field;
  const labels = new Labels(precedence.words);
  const queue = new Queue();
  const from = new Int32Array(precedence.words);
  const done = new Int32Array(precedence.words);
  let expansions = 0;

  const reach = (standing: number, cost: number, parent: number, step: number, move: number): void => {
    settle(field, done, standing);
    let label = labels.find(done, standing);
    if (label >= 0 && cost >= labels.cost[label]!) return;
    if (label < 0) label = labels.insert(done, standing, cost, ordering.bound(done, standing));
    labels.reach(label, cost, parent, step, move);
    const promise = cost + labels.ahead[label]!;
    if (promise < ceiling) queue.push(promise, size(done), label);
  };

  reach(ordering.start, 0, -1, 0, 0);
  for (let next = queue.pop(); next; next = queue.pop()) {
    const { promise, depth, label } = next;
    const cost = labels.cost[label]!;
    if (promise > cost + labels.ahead[label]!) continue; // a cheaper way to it has been expanded since
    if (depth === precedence.count) return { way: wayTo(field, labels, label), bound: cost, expansions };
    if (expansions >= most) return { bound: promise, expansions };
    expansions++;
    labels.copyDone(label, from);
    forEachChoice(field, from, labels.standing[label]!, (step, at, move) => {
      done.set(from);
      add(done, step);
      reach(move.to, cost + move.cost, label, step, at);
    });
  }
  return { bound: ceiling, expansions };
}
