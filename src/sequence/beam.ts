import { Labels } from './labels.ts';
import { type Attempt, type Field, forEachChoice, type Move, settle, wayTo } from './ordering.ts';
import { add, size } from './precedence.ts';

/**
 * Keeps, of all labels with the same number of steps done, only the `width` that promise most; width 1 is the greedy way.
 * Gives a way cheaper than `ceiling` if it meets one. What it leaves out still tells how good any way can be at best.
 */
export function beam<M extends Move>(field: Field<M>, width: number, ceiling: number): Attempt<M> {
  const { ordering, precedence } = field;
  const labels = new Labels(precedence.words);
  const layers: number[][] = Array.from({ length: precedence.count + 1 }, () => []);
  const from = new Int32Array(precedence.words);
  const done = new Int32Array(precedence.words);
  let bound = ceiling;
  let expansions = 0;

  const reach = (standing: number, cost: number, parent: number, step: number, move: number): void => {
    settle(field, done, standing);
    const known = labels.find(done, standing);
    if (known >= 0) {
      if (cost < labels.cost[known]!) labels.reach(known, cost, parent, step, move);
      return;
    }
    const ahead = ordering.bound(done, standing);
    if (cost + ahead >= ceiling) return;
    const label = labels.insert(done, standing, cost, ahead);
    labels.reach(label, cost, parent, step, move);
    layers[size(done)]!.push(label);
  };

  reach(ordering.start, 0, -1, 0, 0);
  for (const layer of layers.slice(0, -1)) {
    const promise = (label: number) => labels.cost[label]! + labels.ahead[label]!;
    layer.sort((a, b) => promise(a) - promise(b) || labels.ahead[a]! - labels.ahead[b]! || a - b);
    if (layer.length > width) bound = Math.min(bound, promise(layer[width]!));
    for (const label of layer.slice(0, width)) {
      expansions++;
      labels.copyDone(label, from);
      forEachChoice(field, from, labels.standing[label]!, (step, at, move) => {
        done.set(from);
        add(done, step);
        reach(move.to, labels.cost[label]! + move.cost, label, step, at);
      });
    }
  }
  const ends = layers.at(-1)!.toSorted((a, b) => labels.cost[a]! - labels.cost[b]! || a - b);
  if (ends.length === 0) return { bound, expansions };
  const way = wayTo(field, labels, ends[0]!);
  return { way, bound: Math.min(bound, way.cost), expansions };
}
