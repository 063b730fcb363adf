/** A binary heap of labels: least promise first, then the deepest, then the one pushed first. */
export class Queue {
  private readonly heap: number[] = [];
  private readonly promises: number[] = [];
  private readonly depths: number[] = [];
  private readonly labels: number[] = [];

  push(promise: number, depth: number, label: number): void {
    const entry = this.promises.push(promise) - 1;
    this.depths.push(depth);
    this.labels.push(label);
    const { heap } = this;
    let at = heap.length;
    while (at > 0) {
      const above = (at - 1) >> 1;
      if (!this.precedes(entry, heap[above]!)) break;
      heap[at] = heap[above]!;
      at = above;
    }
    heap[at] = entry;
  }

  /** `depth` is how many steps are done. */
  pop(): { readonly promise: number; readonly depth: number; readonly label: number } | undefined {
    const { heap } = this;
    const first = heap[0];
    const last = heap.pop();
    if (first === undefined || last === undefined) return undefined;
    if (heap.length > 0) this.sink(last);
    return { promise: this.promises[first]!, depth: this.depths[first]!, label: this.labels[first]! };
  }

  /** Puts an entry in the place of the first. */
  private sink(entry: number): void {
    const { heap } = this;
    let at = 0;
    for (;;) {
      let below = 2 * at + 1;
      if (below >= heap.length) break;
      if (below + 1 < heap.length && this.precedes(heap[below + 1]!, heap[below]!)) below++;
      if (!this.precedes(heap[below]!, entry)) break;
      heap[at] = heap[below]!;
      at = below;
    }
    heap[at] = entry;
  }

  private precedes(a: number, b: number): boolean {
    const ahead = this.promises[a]! - this.promises[b]!;
    if (ahead !== 0) return ahead < 0;
    const deeper = this.depths[a]! - this.depths[b]!;
    return deeper === 0 ? a < b : deeper > 0;
  }
}
