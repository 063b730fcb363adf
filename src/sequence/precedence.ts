/** Precedence over steps numbered from 0, as bit sets of 32-bit words. */
export interface Precedence {
  readonly count: number;
  readonly words: number;
  /** `words` words a step: the steps that must be done before it */
  readonly needs: Int32Array;
  /** the bits in use in the last word of a set */
  readonly lastWord: number;
}

/** Thrown when precedence runs in a circle; `cycle` is a shortest one, each before the next and the last before the first. */
export class CycleError extends Error {
  readonly cycle: readonly string[];
  constructor(cycle: readonly string[]) {
    const named = [...cycle, cycle[0]].map((id) => `"${id}"`).join(' before ');
    super(`precedence runs in a circle: ${named}; break the circle before asking for an order`);
    this.name = 'CycleError';
    this.cycle = cycle;
  }
}

/** @throws CycleError with a shortest cycle, its steps called by `nameOf` */
export function precedence(
  count: number,
  before: readonly (readonly [number, number])[],
  nameOf: (step: number) => string = String,
): Precedence {
  const words = Math.max(1, Math.ceil(count / 32));
  const needs = new Int32Array(count * words);
  const followers: number[][] = Array.from({ length: count }, () => []);
  const unmet = new Int32Array(count);
  for (const [first, second] of before) {
    const at = second * words + (first >> 5);
    if (needs[at]! & (1 << (first & 31))) continue;
    needs[at]! |= 1 << (first & 31);
    followers[first]!.push(second);
    unmet[second]!++;
  }
  const free: number[] = [];
  for (let step = 0; step < count; step++) if (unmet[step] === 0) free.push(step);
  for (const step of free) for (const next of followers[step]!) if (--unmet[next]! === 0) free.push(next);
  if (free.length < count) throw new CycleError(shortestCycle(followers).map(nameOf));
  const lastWord = count % 32 === 0 && count > 0 ? -1 : (1 << (count % 32)) - 1;
  return { count, words, needs, lastWord };
}

/** `followers` must hold a cycle. Of several shortest ones, the one through the lowest step. */
function shortestCycle(followers: readonly (readonly number[])[]): number[] {
  let best: number[] = [];
  for (let start = 0; start < followers.length; start++) {
    const found = shortestReturn(followers, start);
    if (found.length > 0 && (best.length === 0 || found.length < best.length)) best = found;
  }
  return best;
}

function shortestReturn(followers: readonly (readonly number[])[], start: number): number[] {
  const cameFrom = new Map<number, number>();
  const queue = [start];
  for (const step of queue) {
    for (const next of followers[step]!) {
      if (next === start) {
        const cycle = [step];
        while (cycle[0] !== start) cycle.unshift(cameFrom.get(cycle[0]!)!);
        return cycle;
      }
      if (cameFrom.has(next)) continue;
      cameFrom.set(next, step);
      queue.push(next);
    }
  }
  return [];
}

export function has(set: Int32Array, step: number): boolean {
  return (set[step >> 5]! & (1 << (step & 31))) !== 0;
}

export function add(set: Int32Array, step: number): void {
  set[step >> 5]! |= 1 << (step & 31);
}

/** Nothing it needs is open. */
export function isReady({ words, needs }: Precedence, done: Int32Array, step: number): boolean {
  const at = step * words;
  for (let word = 0; word < words; word++) if (needs[at + word]! & ~done[word]!) return false;
  return true;
}

/** The steps not done yet, as the bits of one word. */
export function open({ words, lastWord }: Precedence, done: Int32Array, word: number): number {
  return ~done[word]! & (word === words - 1 ? lastWord : -1);
}

/** The step of the lowest bit in a word that is not 0. */
export function lowest(bits: number, word: number): number {
  return (word << 5) + 31 - Math.clz32(bits & -bits);
}

export function size(set: Int32Array): number {
  let bits = 0;
  for (let word = 0; word < set.length; word++) {
    for (let left = set[word]!; left !== 0; left &= left - 1) bits++;
  }
  return bits;
}
