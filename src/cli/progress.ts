const PATIENCE = 1000;

/** Lines on standard error for work that takes over a second; silent for the rest. */
export class Progress {
  private last = performance.now();

  constructor(private readonly what: string) {}

  step(done: number, total: number, now: string): void {
    if (performance.now() - this.last < PATIENCE) return;
    this.last = performance.now();
    process.stderr.write(`${this.what}: ${done} of ${total}, ${now}\n`);
  }
}
