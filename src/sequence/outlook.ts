import { Labels } from './labels.ts';
import { type Model, project } from './model.ts';
import { type Field, forEachChoice, type Ordering, settle } from './ordering.ts';
import { add, type Precedence } from './precedence.ts';
import { type SetupMove, Setups } from './setups.ts';

/**
 * A lower bound on the change-over still to come: every dimension is sequenced alone, exactly, as if the others cost
 * nothing, and the costs are added up. What it misses is only what the dimensions cost by getting in each other's way.
 */
export class Outlook {
  private readonly parts: readonly Part[];

  constructor(model: Model, precedence: Precedence) {
    this.parts = model.dimensions.map((_, dimension) => new Part(model, precedence, [dimension]));
  }

  /** `standing` is the number of the set-up `values` among those of the whole model. */
  ahead(done: Int32Array, standing: number, values: readonly number[]): number {
    let sum = 0;
    for (const part of this.parts) sum += part.ahead(done, standing, values);
    return sum;
  }
}

/** Labels kept by one part; past these the bound goes slack instead of the memory growing. */
const most = 200_000;

class Part {
  private readonly setups: Setups;
  private readonly field: Field<SetupMove>;
  private readonly labels: Labels;
  private readonly kept: readonly number[];
  /** by the standing of the whole model */
  private readonly standings: number[] = [];
  /** a done-set for each depth of the recursion, for so many are made */
  private readonly sets: Int32Array[] = [];

  constructor(model: Model, precedence: Precedence, kept: readonly number[]) {
    this.kept = kept;
    this.setups = new Setups(project(model, kept));
    this.labels = new Labels(precedence.words);
    this.field = { ordering: orderingOf(this.setups), precedence };
  }

  ahead(done: Int32Array, whole: number, values: readonly number[]): number {
    this.setAt(0).set(done);
    return this.least(0, (this.standings[whole] ??= this.standingOf(values)));
  }

  private standingOf(values: readonly number[]): number {
    return this.setups.number(this.kept.map((dimension) => values[dimension]!));
  }

  private setAt(depth: number): Int32Array {
    return (this.sets[depth] ??= new Int32Array(this.field.precedence.words));
  }

  /** The least cost of what is not in the set of this depth. */
  private least(depth: number, standing: number): number {
    const done = this.setAt(depth);
    settle(this.field, done, standing);
    const { labels, field } = this;
    const known = labels.find(done, standing);
    if (known >= 0) return labels.cost[known]!;
    if (labels.count >= most) return 0;
    let least = Infinity;
    forEachChoice(field, done, standing, (step, _, move) => {
      if (move.cost >= least) return;
      const next = this.setAt(depth + 1);
      next.set(done);
      add(next, step);
      least = Math.min(least, move.cost + this.least(depth + 1, move.to));
    });
    const cost = least === Infinity ? 0 : least;
    labels.insert(done, standing, cost, 0);
    return cost;
  }
}

function orderingOf(setups: Setups): Ordering<SetupMove> {
  return {
    count: setups.model.count,
    before: [],
    start: setups.number(setups.model.start),
    moves: (standing, step) => setups.moves(standing, step),
    bound: () => 0,
    still: (standing) => setups.still(standing),
  };
}
