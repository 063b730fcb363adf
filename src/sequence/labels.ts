/**
 * The labels a search has reached: a done-set, how things stand, the least cost found so far, and the way back.
 * Kept in flat arrays because a search makes hundreds of thousands of them.
 */
export class Labels {
  readonly words: number;
  count = 0;
  done: Int32Array;
  standing: Int32Array;
  cost: Float64Array;
  /** lower bound on what is still to come */
  ahead: Float64Array;
  parent: Int32Array;
  step: Int32Array;
  move: Int32Array;
  private slots: Int32Array;

  constructor(words: number, capacity = 256) {
    this.words = words;
    this.done = new Int32Array(capacity * words);
    this.standing = new Int32Array(capacity);
    this.cost = new Float64Array(capacity);
    this.ahead = new Float64Array(capacity);
    this.parent = new Int32Array(capacity);
    this.step = new Int32Array(capacity);
    this.move = new Int32Array(capacity);
    this.slots = new Int32Array(capacity * 2).fill(-1);
  }

  /** The label with this done-set and standing, or -1. */
  find(done: Int32Array, standing: number): number {
    return this.slots[this.slotOf(done, standing)]!;
  }

  /** The label must not be there yet. Its way back is empty. */
  insert(done: Int32Array, standing: number, cost: number, ahead: number): number {
    if (this.count === this.standing.length) this.grow();
    const label = this.count++;
    this.done.set(done, label * this.words);
    this.standing[label] = standing;
    this.cost[label] = cost;
    this.ahead[label] = ahead;
    this.parent[label] = -1;
    this.slots[this.slotOf(done, standing)] = label;
    return label;
  }

  /** A better way to a label: its cost, where it comes from and by which move of which step. */
  reach(label: number, cost: number, parent: number, step: number, move: number): void {
    this.cost[label] = cost;
    this.parent[label] = parent;
    this.step[label] = step;
    this.move[label] = move;
  }

  /** Copies the done-set of a label. */
  copyDone(label: number, into: Int32Array): void {
    const at = label * this.words;
    for (let word = 0; word < this.words; word++) into[word] = this.done[at + word]!;
  }

  private slotOf(done: Int32Array, standing: number): number {
    const mask = this.slots.length - 1;
    let hash = Math.imul(standing + 1, 0x9e3779b1);
    for (let word = 0; word < this.words; word++) {
      hash = Math.imul(hash ^ done[word]!, 0x85ebca6b);
      hash ^= hash >>> 15;
    }
    let slot = hash & mask;
    for (; ; slot = (slot + 1) & mask) {
      const label = this.slots[slot]!;
      if (label < 0 || (this.standing[label] === standing && this.same(label, done))) return slot;
    }
  }

  private same(label: number, done: Int32Array): boolean {
    const at = label * this.words;
    for (let word = 0; word < this.words; word++) if (this.done[at + word] !== done[word]) return false;
    return true;
  }

  private grow(): void {
    const capacity = this.standing.length * 2;
    const wider = <A extends Int32Array | Float64Array>(old: A, into: A): A => {
      into.set(old);
      return into;
    };
    this.done = wider(this.done, new Int32Array(capacity * this.words));
    this.standing = wider(this.standing, new Int32Array(capacity));
    this.cost = wider(this.cost, new Float64Array(capacity));
    this.ahead = wider(this.ahead, new Float64Array(capacity));
    this.parent = wider(this.parent, new Int32Array(capacity));
    this.step = wider(this.step, new Int32Array(capacity));
    this.move = wider(this.move, new Int32Array(capacity));
    this.slots = new Int32Array(capacity * 2).fill(-1);
    const done = new Int32Array(this.words);
    for (let label = 0; label < this.count; label++) {
      this.copyDone(label, done);
      this.slots[this.slotOf(done, this.standing[label]!)] = label;
    }
  }
}
