/** Seconds. */
export async function timed(work: () => Promise<void>): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}

/** Milliseconds; `good` guards against measuring nothing. */
export async function p95(times: number, good: () => Promise<boolean>): Promise<number> {
  const taken: number[] = [];
  for (let i = 0; i < times; i++) {
    const start = performance.now();
    if (!(await good())) throw new Error('the answer that was timed is not right');
    taken.push(performance.now() - start);
  }
  return taken.sort((a, b) => a - b)[Math.ceil(times * 0.95) - 1] as number;
}
