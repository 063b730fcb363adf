import { sql } from 'kysely';
import type { Head } from './contract.ts';
import type { Db } from './tables.ts';
import type { Store } from './transact.ts';

/** How much is kept, in figures that name no job. */
export interface Measure {
  readonly jobs: Readonly<Record<Head['status'], number>>;
  readonly events: number;
  /** Of the tables with their indices and photos, as they lie on the disk. */
  readonly bytes: number;
  /** When an event was last taken; undefined where none was. */
  readonly written: string | undefined;
}

export async function measure({ db, shared }: Store): Promise<Measure> {
  const rows = await db
    .selectFrom('record_heads')
    .select(({ fn }) => [
      'status',
      fn.countAll().as('jobs'),
      fn.sum('version').as('events'),
      fn.max('written').as('written'),
    ])
    .groupBy('status')
    .execute();
  const jobs = { open: 0, released: 0, 'left-unfinished': 0 };
  // PostgreSQL gives counts and sums as text.
  for (const row of rows) jobs[row.status] = Number(row.jobs);
  return {
    jobs,
    events: rows.reduce((sum, row) => sum + Number(row.events), 0),
    bytes: await (shared ? bytesOfSchema(db) : bytesOfFile(db)),
    written: rows
      .map((row) => row.written)
      .sort()
      .at(-1),
  };
}

async function bytesOfFile(db: Db): Promise<number> {
  const { rows } = await sql<{ bytes: number }>`
    select page_count * page_size as bytes from pragma_page_count(), pragma_page_size()`.execute(db);
  return rows[0]?.bytes ?? 0;
}

/** Of the schema in which `record_heads` is found, and no other. */
async function bytesOfSchema(db: Db): Promise<number> {
  const heads = db.selectFrom('record_heads').select('job').compile().sql;
  const schema = /from "([^"]+)"\."record_heads"/.exec(heads)?.[1] ?? 'public';
  const { rows } = await sql<{ bytes: string | null }>`
    select sum(pg_total_relation_size(c.oid)) as bytes from pg_class c
    join pg_namespace n on n.oid = c.relnamespace where n.nspname = ${schema} and c.relkind = 'r'`.execute(db);
  return Number(rows[0]?.bytes ?? 0);
}
