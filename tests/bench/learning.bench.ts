import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { JobEvent } from '../../src/job/events.ts';
import { plan } from '../../src/job/plan.ts';
import { safetyLines } from '../../src/job/unfinished.ts';
import { Lessons } from '../../src/server/learning.ts';
import { append } from '../../src/store/log/append.ts';
import { openSqlite } from '../../src/store/log/open.ts';
import { transact } from '../../src/store/log/transact.ts';
import { Runner, type Told } from '../job.run.ts';
import { numbers, randomJob, rulebook } from '../real-rulebook.ts';
import { TestShop } from '../server.shop.ts';
import type { Row } from './run.ts';

export const name = 'learning';

const JOBS = 10_000;
const KINDS = 40;
const AT_ONCE = 500;
/** The page is asked for by a keeper, now and then. */
const MOST_AGAIN_MS = 1_500;

/** What 10,000 finished jobs cost to learn from: once, and again after one of them was written to. */
export async function run(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-bench-'));
  try {
    await seed(join(folder, 'data'));
    const shop = await TestShop.open({ folder });
    const lessons = new Lessons(shop.doors, 3_600_000);
    const start = process.memoryUsage().rss;
    const first = await timed(() => lessons.learned());
    const again = await timed(() => lessons.learned());
    const { read, counted, rules } = await lessons.learned();
    const grown = (process.memoryUsage().rss - start) / 1e6;
    await shop.doors.close();
    if (read !== JOBS || counted !== JOBS)
      throw new Error(`${read} jobs were read and ${counted} counted, not ${JOBS}`);
    if (again > MOST_AGAIN_MS) throw new Error(`asked again it took ${Math.round(again)} ms, over ${MOST_AGAIN_MS}`);
    return [
      { what: `read ${JOBS} jobs once, s`, figure: Math.round(first / 100) / 10 },
      { what: 'a job, ms', figure: Math.round((first / JOBS) * 100) / 100 },
      { what: 'asked again, ms', figure: Math.round(again) },
      { what: 'memory grown, MB', figure: Math.round(grown) },
      { what: 'rules counted', figure: rules.length },
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Jobs of so many kinds, each under many numbers. */
async function seed(data: string): Promise<void> {
  const kinds = jobsOfKinds();
  const store = await openSqlite(data);
  for (let from = 0; from < JOBS; from += AT_ONCE)
    await transact(store, async (tx) => {
      for (let i = from; i < from + AT_ONCE; i++) {
        const events = kinds[i % kinds.length] as readonly JobEvent[];
        const mine = events.map((event) => ('ro' in event ? { ...event, ro: `${i}` } : event));
        await append(tx, `${i}`, 0, mine, new Date(Date.UTC(2026, 0, 1) + i * 60_000).toISOString());
      }
    });
  await store.close();
}

function jobsOfKinds(): JobEvent[][] {
  const next = numbers(20261125);
  const kinds: JobEvent[][] = [];
  while (kinds.length < KINDS) {
    const { vehicle, work } = randomJob(next);
    const { traits, ...car } = vehicle;
    const runner = new Runner([rulebook]);
    const told: Told[] = [
      { type: 'opened' },
      { type: 'vehicle-told', vehicle: car },
      ...Object.entries(traits).map(([trait, answer]) => ({ type: 'trait-told', trait, answer })),
      ...work.map((line) => ({ type: 'line-added', line })),
      { type: 'work-done' },
    ];
    for (const one of told) runner.tell(one);
    const lines = safetyLines(plan(runner.job, rulebook)).map(({ text }) => text);
    runner.tell({ type: 'left-unfinished', foreman: 'Ida Foreman', customer: 'Cy Customer', lines });
    if (runner.job.status === 'left-unfinished') kinds.push(runner.events);
  }
  return kinds;
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}
