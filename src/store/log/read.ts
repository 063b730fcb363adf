import type { JobEvent } from '../../job/events.ts';
import { type Kept, upcast } from '../../job/upcast.ts';
import { type Chain, flawsOf, parsed } from './chain.ts';
import { type Flaw, type Head, type JobRecord, type Page, Tampered } from './contract.ts';
import { type Secret, unseal } from './seal.ts';
import type { Db } from './tables.ts';

/** One job, its chain verified. Throws Tampered with everything that is wrong with it. */
export async function readJob(db: Db, job: string): Promise<JobRecord | undefined> {
  const chain = await chainOf(db, job);
  if (!chain) return undefined;
  const { record, flaws } = judged(chain, chain.head);
  if (!record) throw new Tampered(flaws);
  return record;
}

/** What is wrong with a chain; or, if nothing is, the job. */
export function judged(chain: Chain, head: Head | undefined): { record?: JobRecord; flaws: readonly Flaw[] } {
  const flaws = flawsOf(chain);
  if (flaws.length > 0 || !head) return { flaws };
  const entries = chain.rows.map((row) => ({
    number: row.number,
    kept: row.kept,
    hash: row.hash,
    event: unseal(parsed(row) ?? {}, chain.secrets),
  }));
  const events: JobEvent[] = [];
  for (const { number, event } of entries) {
    const read = today(event);
    if (typeof read === 'string') {
      const says = `job ${chain.job}, event ${number}: ${read}`;
      return { flaws: [{ job: chain.job, number, kind: 'unreadable', says }] };
    }
    events.push(...read);
  }
  return { record: { ...head, entries, events }, flaws };
}

function today(event: Kept): JobEvent[] | string {
  try {
    return upcast(event);
  } catch (error) {
    return (error as Error).message;
  }
}

/** Everything that is kept of a job; undefined if nothing is. */
export async function chainOf(db: Db, job: string): Promise<(Chain & { head: Head | undefined }) | undefined> {
  const head = await headOf(db, job);
  const rows = await db.selectFrom('record_events').selectAll().where('job', '=', job).orderBy('number').execute();
  if (!head && rows.length === 0) return undefined;
  return { job, head, rows: rows.map(bare), secrets: await secretsOf(db, job) };
}

export async function headsOf(db: Db): Promise<Head[]> {
  const rows = await db.selectFrom('record_heads').selectAll().orderBy('written', 'desc').orderBy('job').execute();
  return rows.map(bare);
}

/** Heads behind the last one of the page before, by what the indices lie in: written last first. */
export async function pageOf(db: Db, { ended, after, limit }: Page): Promise<Head[]> {
  let query = db.selectFrom('record_heads').selectAll().orderBy('written', 'desc').orderBy('job').limit(limit);
  if (ended === false) query = query.where('status', '=', 'open');
  if (ended === true) query = query.where('status', '!=', 'open');
  if (after)
    // The first half is what lets the index be entered in the middle.
    query = query
      .where('written', '<=', after.written)
      .where((eb) =>
        eb.or([
          eb('written', '<', after.written),
          eb.and([eb('written', '=', after.written), eb('job', '>', after.job)]),
        ]),
      );
  return (await query.execute()).map(bare);
}

export async function headOf(db: Db, job: string): Promise<Head | undefined> {
  const row = await db.selectFrom('record_heads').selectAll().where('job', '=', job).executeTakeFirst();
  return row && bare(row);
}

export async function secretsOf(db: Db, job: string): Promise<Map<string, Secret>> {
  const rows = await db
    .selectFrom('record_personal')
    .select(['hash', 'salt', 'value'])
    .where('job', '=', job)
    .orderBy('hash')
    .execute();
  return new Map(rows.map((row) => [row.hash, { hash: row.hash, salt: row.salt, value: row.value }]));
}

/** Without what libsql hangs on a row that it returns alone. */
function bare<T extends object>(row: T): T {
  const copy = { ...row } as T & { _metadata?: unknown };
  delete copy._metadata;
  return copy;
}
