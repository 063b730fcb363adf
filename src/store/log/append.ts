import { type Kept, upcast } from '../../job/upcast.ts';
import { canonical } from './canonical.ts';
import { BEFORE_FIRST, linkHash, parsed } from './chain.ts';
import { type Head, Overtaken, Refused, Tampered } from './contract.ts';
import { isSame, newSecret, seal, type Secret } from './seal.ts';
import { headOf, secretsOf } from './read.ts';
import { type Standing, standingAfter } from './standing.ts';
import type { Tables } from './tables.ts';
import type { Tx } from './transact.ts';

type Row = Tables['record_events'];

/** Adds events to a job within a transaction; see EventLog.append. */
export async function append(
  tx: Tx,
  job: string,
  expected: number,
  events: readonly Kept[],
  now: string,
): Promise<Head> {
  mustBeEvents(job, expected, events);
  await hold(tx, job);
  const head = await headOf(tx, job);
  const secrets = await secretsOf(tx, job);
  const known = await knownOf(tx, job, events, secrets);
  const fresh = events.filter((event) => !known.has(event.id));
  if (fresh.length === 0 && head) return head;
  if (fresh.length === 0) throw new Refused(`job ${job}: there is nothing to append`);
  mustFollow(job, expected, events, known, head?.version ?? 0);
  if (!head) await mustBeNew(tx, job);

  const made = new Map<string, Secret>();
  const rows = linksBehind(job, head, fresh, now, secretsBy([...secrets.values()], made));
  if (made.size > 0)
    await tx
      .insertInto('record_personal')
      .values([...made.values()].map((secret) => ({ job, ...secret, removed: null })))
      .execute();
  await putRows(tx, rows);
  return putHead(tx, rows, head);
}

/** What can not be read back is not kept. */
function mustBeEvents(job: string, expected: number, events: readonly Kept[]): void {
  if (job.trim() === '' || job.length > 200) throw new Refused('a job goes by an RO number of 1 to 200 characters');
  if (!Number.isInteger(expected) || expected < 0)
    throw new Refused(`job ${job}: the expected number of events is a whole number, not ${expected}`);
  if (holdsNothing(job)) throw new Refused('an RO number holds the character U+0000: it can not be kept');
  const ids = new Set<string>();
  for (const event of events) {
    if (holdsNothing(event))
      throw new Refused(`job ${job}, event ${event.id}: it holds the character U+0000, which can not be kept`);
    try {
      upcast(event);
    } catch (error) {
      throw new Refused(`job ${job}: ${(error as Error).message}`, { cause: error });
    }
    if (ids.has(event.id)) throw new Refused(`job ${job}: two events bear the id ${event.id}`);
    ids.add(event.id);
  }
}

/** PostgreSQL has no character U+0000 in its texts; a record must fit every database that it may be moved to. */
function holdsNothing(value: unknown): boolean {
  if (typeof value === 'string') return value.includes('\0');
  if (typeof value !== 'object' || value === null) return false;
  return Object.values(value).some(holdsNothing);
}

/** Makes other writers to a job wait, whether it is there or not. */
export function hold(tx: Tx, job: string): Promise<void> {
  return tx.hold(`job ${job}`);
}

/** By id, the number of each event that is there already. Throws Refused if one of them is there with other words. */
async function knownOf(
  tx: Tx,
  job: string,
  events: readonly Kept[],
  secrets: ReadonlyMap<string, Secret>,
): Promise<Map<string, number>> {
  const known = new Map<string, number>();
  if (events.length === 0) return known;
  const ids = events.map((event) => event.id);
  const rows = await tx.selectFrom('record_events').selectAll().where('job', '=', job).where('id', 'in', ids).execute();
  for (const row of rows) {
    const event = events.find(({ id }) => id === row.id) as Kept;
    const sealed = parsed(row);
    if (!sealed || !isSame(event, sealed, secrets))
      throw new Refused(`job ${job}: the id ${row.id} is that of event ${row.number}, which says something else`);
    known.set(row.id, row.number);
  }
  return known;
}

/** Events known already must be the first ones behind `expected`, as they are when an answer was lost on its way. */
function mustFollow(
  job: string,
  expected: number,
  events: readonly Kept[],
  known: ReadonlyMap<string, number>,
  version: number,
): void {
  const inPlace = events.slice(0, known.size).every((event, at) => known.get(event.id) === expected + at + 1);
  if (!inPlace || expected + known.size !== version) throw new Overtaken(job, expected, version);
}

async function mustBeNew(tx: Tx, job: string): Promise<void> {
  const deleted = await tx.selectFrom('record_deleted').selectAll().where('job', '=', job).executeTakeFirst();
  if (deleted)
    throw new Refused(`job ${job} was deleted at ${deleted.at} (${deleted.because}): take another RO number`);
  const stray = await tx.selectFrom('record_events').select('number').where('job', '=', job).executeTakeFirst();
  if (stray)
    throw new Tampered([
      { job, number: 0, kind: 'head', says: `job ${job}: it has events and is not on the list of jobs` },
    ]);
}

/** The secret of a value: the one it has in this job, or a new one, put into `made`. */
function secretsBy(there: readonly Secret[], made: Map<string, Secret>): (value: string) => Secret {
  const byValue = new Map(there.map((secret) => [secret.value, secret]));
  return (value) => {
    const secret = byValue.get(value) ?? newSecret(value);
    if (!byValue.has(value)) made.set(secret.hash, secret);
    byValue.set(value, secret);
    return secret;
  };
}

function linksBehind(
  job: string,
  head: Head | undefined,
  events: readonly Kept[],
  now: string,
  secretOf: (value: string) => Secret,
): Row[] {
  const rows: Row[] = [];
  for (const event of events) {
    const link = {
      job,
      number: (head?.version ?? 0) + rows.length + 1,
      kept: now,
      event: written(job, event, secretOf),
      previous: rows.at(-1)?.hash ?? head?.hash ?? BEFORE_FIRST,
    };
    rows.push({ ...link, id: event.id, hash: linkHash(link) });
  }
  return rows;
}

function written(job: string, event: Kept, secretOf: (value: string) => Secret): string {
  try {
    return canonical(seal(event, secretOf));
  } catch (error) {
    throw new Refused(`job ${job}, event ${event.id}: ${(error as Error).message}`, { cause: error });
  }
}

/** Rows of one statement: each way to a database takes time, and both databases limit how long a statement may be. */
const ROWS_AT_ONCE = 100;

export async function putRows(tx: Tx, rows: readonly Row[]): Promise<void> {
  for (let from = 0; from < rows.length; from += ROWS_AT_ONCE)
    await tx
      .insertInto('record_events')
      .values(rows.slice(from, from + ROWS_AT_ONCE))
      .execute();
}

/** Moves the head on behind rows that were just written; there is at least one. */
export async function putHead(tx: Tx, rows: readonly Row[], before: Head | undefined): Promise<Head> {
  const [first, last] = [rows[0] as Row, rows.at(-1) as Row];
  const from: Standing | undefined = before && { status: before.status, rulebook: before.rulebook };
  const standing = rows.reduce<Standing | undefined>((sofar, row) => standingAfter(parsed(row) ?? {}, sofar), from);
  const moved = { version: last.number, hash: last.hash, written: last.kept, ...(standing as Standing) };
  const head = { job: last.job, opened: before?.opened ?? first.kept, ...moved };
  if (before) await tx.updateTable('record_heads').set(moved).where('job', '=', head.job).execute();
  else await tx.insertInto('record_heads').values(head).execute();
  return head;
}
