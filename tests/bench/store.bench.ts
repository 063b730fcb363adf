import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Summaries } from '../../src/job/exchange.ts';
import { SqlLog } from '../../src/store/log/log.ts';
import { openSqlite } from '../../src/store/log/open.ts';
import { TestShop } from '../server.shop.ts';
import { headersOf, type SignedIn } from '../signed-in.ts';
import { line, opened } from '../store.events.ts';
import type { Row } from './run.ts';
import { seedJobs } from './seed-jobs.ts';
import { p95, timed } from './timing.ts';

export const name = 'store';

const JOBS = 10_000;
const AT_ONCE = 1_000;
const APPENDS = 500;
const LISTS = 100;
const READS = 100;
const LONG = 200;
const PAGE = 100;
/** The bay sheet is asked for at every turn of a tablet; slower than this and it is felt. */
const MOST_LIST_MS = 100;

/** Durable appends of one event, and what a shop of 10,000 jobs costs to open, list, read and hold in memory. */
export async function run(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-bench-'));
  try {
    const fill = await timed(() => seed(join(folder, 'data')));
    const free = { calls: 1e9, seconds: 1 };
    const begun = performance.now();
    const shop = await TestShop.open({ folder, limits: { address: free, door: free, person: free } });
    const opening = (performance.now() - begun) / 1000;
    const rows = await measure(shop);
    await shop.doors.close();
    return [
      { what: `append ${JOBS} jobs of 3 events, ${AT_ONCE} a commit, s`, figure: fill },
      { what: `open and verify all ${JOBS} jobs, s`, figure: opening },
      ...rows,
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function seed(data: string): Promise<void> {
  const store = await openSqlite(data);
  await seedJobs(store, JOBS, AT_ONCE);
  const long = [opened('long'), ...Array.from({ length: LONG }, (_, i) => line(`l${i}`))];
  await new SqlLog(store).append('long', 0, long);
  await store.close();
}

async function measure(shop: TestShop): Promise<Row[]> {
  const { log } = shop.doors;
  const who = await shop.person('Bench', 'foreman');
  const adding = await timed(async () => {
    for (let i = 0; i < APPENDS; i++) await log.append(`${i}`, 3, [line('e4')]);
  });
  const list = await p95(LISTS, async () => (await page(shop, who, '')).records.length === PAGE);
  const whole: number[] = [];
  let seen = 0;
  for (let after: string | null = ''; after !== null; ) {
    const start = performance.now();
    const { records, next }: Summaries = await page(shop, who, after ? `&after=${after}` : '');
    whole.push(performance.now() - start);
    seen += records.length;
    after = next;
  }
  if (seen !== JOBS + 1) throw new Error(`${seen} jobs were listed page by page, not ${JOBS + 1}`);
  const read = await p95(READS, async () => (await log.read('long'))?.version === LONG + 1);
  if (list > MOST_LIST_MS) throw new Error(`list of ${JOBS} jobs: p95 ${list.toFixed(0)} ms; ${MOST_LIST_MS} allowed`);
  return [
    { what: 'durable appends of 1 event, a second', figure: APPENDS / adding },
    { what: `first ${PAGE} of ${JOBS} jobs over HTTP, p95 ms`, figure: list },
    { what: `any ${PAGE} of them, slowest page ms`, figure: Math.max(...whole) },
    { what: `read and verify a job of ${LONG} events, p95 ms`, figure: read },
    { what: 'memory, MB', figure: process.memoryUsage().rss / 1e6 },
  ];
}

async function page(shop: TestShop, who: SignedIn, more: string): Promise<Summaries> {
  const answer = await shop.send(`/api/records?limit=${PAGE}${more}`, { headers: headersOf(who) });
  if (answer.status !== 200) throw new Error(`the list was refused: ${await answer.text()}`);
  return (await answer.json()) as Summaries;
}
