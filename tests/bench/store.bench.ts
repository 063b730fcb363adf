import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openLog } from '../../src/store/log/log.ts';
import { line, opened } from '../store.events.ts';
import type { Row } from './run.ts';

export const name = 'store';

const JOBS = 10_000;
const APPENDS = 1_000;
const LISTS = 50;
const READS = 200;
const LONG = 200;
/** The bay sheet is asked for at every turn of a tablet; slower than this and it is felt. */
const MOST_LIST_MS = 250;

/** Durable appends of one event, and what a shop of 10,000 jobs costs to list, read, verify and hold in memory. */
export async function run(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-bench-'));
  const { log } = await openLog(folder, { verify: false });
  try {
    const fill = await timed(async () => {
      for (let i = 0; i < JOBS; i++) await log.append(`${i}`, 0, [opened(`${i}`), line('e2'), line('e3')]);
    });
    await log.append('long', 0, [opened('long'), ...Array.from({ length: LONG }, (_, i) => line(`l${i}`))]);
    const append = await timed(async () => {
      for (let i = 0; i < APPENDS; i++) await log.append(`${i}`, 3, [line('e4')]);
    });
    const list = await p95(LISTS, async () => (await log.heads()).length === JOBS + 1);
    const read = await p95(READS, async () => (await log.read('long'))?.version === LONG + 1);
    let flaws = 0;
    const verify = await timed(async () => {
      for await (const one of log.verify()) flaws += one.flaws.length;
    });
    if (flaws > 0) throw new Error(`${flaws} flaws in a record that nobody touched`);
    if (list > MOST_LIST_MS)
      throw new Error(`heads of ${JOBS} jobs: p95 ${list.toFixed(0)} ms; ${MOST_LIST_MS} allowed`);
    return [
      { what: 'new jobs of 3 events, a second', figure: JOBS / fill },
      { what: 'appends of 1 event, a second', figure: APPENDS / append },
      { what: `heads of ${JOBS} jobs, p95 ms`, figure: list },
      { what: `read and verify a job of ${LONG} events, p95 ms`, figure: read },
      { what: `verify all ${JOBS} jobs, s`, figure: verify },
      { what: 'memory, MB', figure: process.memoryUsage().rss / 1e6 },
    ];
  } finally {
    await log.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Seconds. */
async function timed(work: () => Promise<void>): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}

/** Milliseconds; `good` guards against measuring nothing. */
async function p95(times: number, good: () => Promise<boolean>): Promise<number> {
  const taken: number[] = [];
  for (let i = 0; i < times; i++) {
    const start = performance.now();
    if (!(await good())) throw new Error('the answer that was timed is not right');
    taken.push(performance.now() - start);
  }
  return taken.sort((a, b) => a - b)[Math.ceil(times * 0.95) - 1] as number;
}
