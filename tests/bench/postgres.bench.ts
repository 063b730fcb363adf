import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import pg from 'pg';
import type { SqlLog } from '../../src/store/log/log.ts';
import { openSqlite } from '../../src/store/log/open.ts';
import { openSite } from '../../src/store/log/postgres.ts';
import { type Database, openDatabase, openShop } from '../../src/store/open.ts';
import { meddle, noPostgres, type Postgres, startPostgres } from '../postgres.ts';
import { rules, TestShop } from '../server.shop.ts';
import { headersOf, type SignedIn } from '../signed-in.ts';
import { line } from '../store.events.ts';
import type { Row } from './run.ts';
import { seedJobs } from './seed-jobs.ts';
import { p95, timed } from './timing.ts';

export const name = 'postgres';

/** Fewer on a machine that has no time. */
const SITES = Number(process.env['SITES'] ?? 20);
const JOBS = 10_000;
const AT_ONCE = 500;
const APPENDS = 500;
const WRITERS = 8;
const LISTS = 100;
const READS = 200;
const PARTITIONS = 16;
const PAGE = 100;
const MOST_LIST_MS = 100;
const TABLES = ['record_events', 'record_heads', 'record_personal'] as const;

/** Many sites in one database: durable appends, the list of a bay, reads, size, and whether splitting a table helps. */
export async function run(): Promise<Row[]> {
  if (noPostgres) return [{ what: noPostgres, figure: 0 }];
  // As it is installed, with fsync.
  const server = await startPostgres({});
  const database = await openDatabase(server.url);
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-bench-'));
  try {
    const fill = await timed(() => fillAll(database, server.url, folder));
    const kept = await openShop({ database, site: 's0' }, rules);
    const verify = await timed(() => kept.verified);
    if (kept.flaws.length > 0) throw new Error(`${kept.flaws.length} flaws in what was just filled in`);
    const free = { calls: 1e9, seconds: 1 };
    const shop = await TestShop.open({ ...kept, folder, limits: { address: free, door: free, person: free } });
    const rows = await measure(shop, server.url);
    await shop.doors.close();
    return [
      { what: `fill ${SITES} sites with ${JOBS} jobs of 3 events, s`, figure: fill },
      { what: `verify ${JOBS} jobs of one site, while it is served, s`, figure: verify },
      ...rows,
      ...(await sizes(server.url)),
      ...(await split(server)),
    ];
  } finally {
    await database.close();
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/**
 * One site through the log's own code, in a file, for that is quicker; from there into the database and into the other
 * sites, for a chain names no site.
 */
async function fillAll(database: Database, url: string, folder: string): Promise<void> {
  const from = await openSqlite(join(folder, 'seed'));
  await seedJobs(from, JOBS);
  const to = await openSite(database, 's0');
  for (const table of TABLES) {
    const rows = await from.db.selectFrom(table).selectAll().execute();
    for (let at = 0; at < rows.length; at += AT_ONCE)
      await to.db
        .insertInto(table)
        .values(rows.slice(at, at + AT_ONCE) as never)
        .execute();
  }
  await from.close();
  for (let n = 1; n < SITES; n++) {
    await openSite(database, `s${n}`);
    for (const table of TABLES) await meddle(url, `insert into site_s${n}.${table} select * from site_s0.${table}`);
  }
  await meddle(url, 'analyze');
}

async function measure(shop: TestShop, url: string): Promise<Row[]> {
  const { log } = shop.doors;
  const who = await shop.person('Bench', 'foreman');
  const before = await scans(url);
  const one = await p95(APPENDS, async () => (await log.append(`${next()}`, 3, [line('e4')])).version === 4);
  const many = await timed(async () => {
    await Promise.all(Array.from({ length: WRITERS }, () => appends(log, APPENDS / WRITERS)));
  });
  const list = await p95(LISTS, async () => (await listed(shop, who)) === PAGE);
  const read = await p95(READS, async () => (await log.read(`${next()}`))?.version === 3);
  await pause(1_500);
  const after = await scans(url);
  for (const table of ['record_events', 'record_heads', 'record_personal'])
    if (after.get(table)?.whole !== before.get(table)?.whole) throw new Error(`${table} was read from end to end`);
  if (list > MOST_LIST_MS) throw new Error(`list of ${JOBS} jobs: p95 ${list.toFixed(0)} ms; ${MOST_LIST_MS} allowed`);
  return [
    { what: 'durable append of 1 event, p95 ms', figure: one },
    { what: `durable appends a second, ${WRITERS} writers to jobs of their own`, figure: APPENDS / many },
    { what: `first ${PAGE} of ${JOBS} jobs over HTTP, p95 ms`, figure: list },
    { what: 'read and verify a job of 3 events, p95 ms', figure: read },
    { what: 'whole tables read meanwhile', figure: 0 },
  ];
}

let at = 0;
const next = () => at++ % JOBS;

async function appends(log: SqlLog, times: number): Promise<void> {
  for (let i = 0; i < times; i++) await log.append(`${next()}`, 3, [line('e4')]);
}

async function listed(shop: TestShop, who: SignedIn): Promise<number> {
  const answer = await shop.send(`/api/records?limit=${PAGE}&status=open`, { headers: headersOf(who) });
  return ((await answer.json()) as { records: unknown[] }).records.length;
}

/** How often each table of the first site was read whole. */
async function scans(url: string): Promise<Map<string, { whole: number }>> {
  const rows = await meddle(url, `select relname, seq_scan::int from pg_stat_user_tables where schemaname = 'site_s0'`);
  return new Map(rows.map((row) => [String(row['relname']), { whole: Number(row['seq_scan']) }]));
}

async function sizes(url: string): Promise<Row[]> {
  const [row] = await meddle(
    url,
    `select sum(pg_total_relation_size(c.oid))::float8 as bytes from pg_class c
     join pg_namespace n on n.oid = c.relnamespace where n.nspname like 'site\\_s%' and c.relkind = 'r'`,
  );
  const bytes = Number(row?.['bytes']);
  return [
    { what: `${SITES * JOBS} jobs with indices, MB`, figure: bytes / 1e6 },
    { what: 'a job of 3 events, bytes', figure: bytes / (SITES * JOBS) },
  ];
}

/** All events of all sites in one table, and in one that PostgreSQL splits by the job. */
async function split({ url }: Postgres): Promise<Row[]> {
  const columns = 'job text collate "C", number int, id text, kept text, event text, previous text, hash text';
  const keys = 'primary key (job, number), unique (job, id)';
  await meddle(url, `create table whole (${columns}, ${keys})`);
  await meddle(url, `create table parts (${columns}, ${keys}) partition by hash (job)`);
  for (let n = 0; n < PARTITIONS; n++)
    await meddle(
      url,
      `create table parts_${n} partition of parts for values with (modulus ${PARTITIONS}, remainder ${n})`,
    );
  for (let n = 0; n < SITES; n++)
    await meddle(
      url,
      `insert into whole select '${n}-' || job, number, id, kept, event, previous, hash from site_s${n}.record_events`,
    );
  const filling = await timed(async () => void (await meddle(url, 'insert into parts select * from whole')));
  await meddle(url, 'vacuum analyze');
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  const rows: Row[] = [{ what: `fill the split table with all of them, s`, figure: filling }];
  for (const table of ['whole', 'parts', 'whole', 'parts']) rows.push(...(await ofTable(client, table)));
  await client.end();
  return rows;
}

async function ofTable(client: pg.Client, table: string): Promise<Row[]> {
  let n = 0;
  const job = () => `${n++ % SITES}-${(n * 7919) % JOBS}`;
  const read = await p95(2_000, async () => {
    const { rows } = await client.query(`select * from ${table} where job = $1 order by number`, [job()]);
    return rows.length >= 3;
  });
  const add = await p95(500, async () => {
    const sql = `insert into ${table} select $1, 1, $2, '', repeat('x', 400), '', ''`;
    const { rowCount } = await client.query(sql, [`new-${Math.random()}`, `e${n++}`]);
    return rowCount === 1;
  });
  return [
    { what: `${table}: read a job, p95 ms`, figure: read },
    { what: `${table}: add an event, p95 ms`, figure: add },
  ];
}
