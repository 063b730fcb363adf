import type { Model } from './model.ts';
import type { Move } from './ordering.ts';

export interface SetupMove extends Move {
  /** the set-up in force while the step is done: a value number per dimension */
  readonly during: readonly number[];
  readonly changes: number;
}

/**
 * The set-ups a model can come to, numbered as they are met, and the moves between them.
 *
 * Lazy: a move changes the dimensions that its step demands, and others only where keeping them would make a forbidden
 * combination. Then every change from which no part can be taken back is a move of its own, so the search weighs them.
 */
export class Setups {
  readonly model: Model;
  readonly values: (readonly number[])[] = [];
  private readonly numbers = new Map<string, number>();
  private readonly known: (readonly SetupMove[] | undefined)[][] = [];
  private readonly stills: (Int32Array | undefined)[] = [];

  constructor(model: Model) {
    this.model = model;
  }

  number(values: readonly number[]): number {
    const key = values.join();
    const known = this.numbers.get(key);
    if (known !== undefined) return known;
    this.numbers.set(key, this.values.length);
    this.known.push([]);
    return this.values.push(values) - 1;
  }

  moves(standing: number, step: number): readonly SetupMove[] {
    return (this.known[standing]![step] ??= this.reckon(this.values[standing]!, step));
  }

  /** The steps that from here change nothing, neither before nor by being done. */
  still(standing: number): Int32Array {
    return (this.stills[standing] ??= this.reckonStill(standing));
  }

  private reckonStill(standing: number): Int32Array {
    const { count, demands, becomes } = this.model;
    const values = this.values[standing]!;
    const still = new Int32Array(Math.max(1, Math.ceil(count / 32)));
    if (this.violated(values)) return still;
    for (let step = 0; step < count; step++) {
      const isMet = demands[step]!.every((value, dimension) => value === undefined || value === values[dimension]);
      if (isMet && leavesAll(becomes[step]!)) still[step >> 5]! |= 1 << (step & 31);
    }
    return still;
  }

  private reckon(from: readonly number[], step: number): SetupMove[] {
    const { demands, becomes, cost } = this.model;
    const demanded = from.map((value, dimension) => demands[step]![dimension] ?? value);
    const moves = this.allowed(demanded, step).map((during): SetupMove => {
      const after = during.map((value, dimension) => becomes[step]![dimension] ?? value);
      const changes = during.filter((value, dimension) => value !== from[dimension]).length;
      const total = during.reduce((sum, value, dimension) => sum + cost[dimension]![from[dimension]!]![value]!, 0);
      const still = changes === 0 && leavesAll(becomes[step]!);
      return { to: this.number(after), cost: total, still, during, changes };
    });
    return moves.sort((a, b) => a.cost - b.cost || compare(a.during, b.during));
  }

  /** The set-up as demanded where it may be, else all ways to move as little else as makes it allowed. */
  private allowed(demanded: readonly number[], step: number): (readonly number[])[] {
    const ways = new Map<string, readonly number[]>();
    // Whatever is allowed differs from a forbidden combination in one of its values: try each that is free to move.
    const move = (way: readonly number[]): void => {
      const pairs = this.violated(way);
      if (!pairs) {
        if (!this.canTakeBack(way, demanded)) ways.set(way.join(), way);
        return;
      }
      for (const [dimension, held] of pairs) {
        if (this.model.demands[step]![dimension] !== undefined || way[dimension] !== demanded[dimension]) continue;
        this.model.values[dimension]!.forEach((_, value) => value !== held && move(way.with(dimension, value)));
      }
    };
    move(demanded);
    return [...ways.values()];
  }

  /** Some of the moved dimensions could have stayed as they were. */
  private canTakeBack(way: readonly number[], demanded: readonly number[]): boolean {
    const moved = way.flatMap((value, dimension) => (value === demanded[dimension] ? [] : [dimension]));
    for (let some = 1; some < 2 ** moved.length; some++) {
      const back = way.slice();
      moved.forEach((dimension, at) => {
        if (some & (1 << at)) back[dimension] = demanded[dimension]!;
      });
      if (!this.violated(back)) return true;
    }
    return false;
  }

  /** A forbidden combination that these values hold. */
  private violated(values: readonly number[]): Model['forbidden'][number] | undefined {
    return this.model.forbidden.find((pairs) => pairs.every(([dimension, value]) => values[dimension] === value));
  }
}

function leavesAll(becomes: readonly (number | undefined)[]): boolean {
  return becomes.every((value) => value === undefined);
}

function compare(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, dimension) => value !== b[dimension]);
  return at < 0 ? 0 : a[at]! - b[at]!;
}
