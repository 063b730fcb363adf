import { fold } from '../../job/evolve.ts';
import { count, type Head, Refused } from './contract.ts';
import { hold } from './append.ts';
import { photosIn } from './photos.ts';
import { headOf, headsOf, readJob } from './read.ts';
import { type Chain, parsed } from './chain.ts';
import type { Db } from './tables.ts';
import type { Tx } from './transact.ts';

/** Invoices and work orders are kept at least three years: 16 CCR 3358 (California). A shop may keep them longer. */
export const KEEP_YEARS = 3;

export interface Deletion {
  readonly by: string;
  readonly because: string;
}

/**
 * Removes personal values of a job, all of them when `values` is left out; the chain still verifies. Gives how many
 * were removed. Throws Refused if one of them is not there.
 */
export async function removePersonal(tx: Tx, job: string, now: string, values?: readonly string[]): Promise<number> {
  await hold(tx, job);
  if (!(await headOf(tx, job))) throw new Refused(`there is no job ${job}`);
  const there = await tx
    .selectFrom('record_personal')
    .select(['hash', 'value'])
    .where('job', '=', job)
    .where('value', 'is not', null)
    .execute();
  const missing = values?.find((value) => !there.some((row) => row.value === value));
  if (missing !== undefined) throw new Refused(`job ${job} has no personal field that says \`${missing}\``);
  const hashes = there.filter((row) => values?.includes(row.value as string) ?? true).map((row) => row.hash);
  if (hashes.length === 0) return 0;
  await tx
    .updateTable('record_personal')
    .set({ salt: null, value: null, removed: now })
    .where('job', '=', job)
    .where('hash', 'in', hashes)
    .execute();
  return hashes.length;
}

/** Takes the bytes of a photo away; its hash stays in the chain. Throws Refused if there is none. */
export async function removePhoto(tx: Tx, hash: string, now: string): Promise<void> {
  const { numUpdatedRows } = await tx
    .updateTable('record_photos')
    .set({ bytes: null, removed: now })
    .where('hash', '=', hash)
    .executeTakeFirst();
  if (numUpdatedRows === 0n) throw new Refused(`there is no photo ${hash.slice(0, 12)}`);
}

/** Jobs nobody wrote to for the time they have to be kept: those that `deleteJob` may take. */
export async function dueForDeletion(db: Db, now: string, years = KEEP_YEARS): Promise<Head[]> {
  return (await headsOf(db)).filter((head) => isOver(head, now, years));
}

/**
 * Deletes a job whose time is over, with its photos as far as no other job shows them. Its number, the end of its
 * chain, who deleted it and why stay. Throws Refused for a job that is open or has to be kept; Tampered.
 */
export async function deleteJob(
  tx: Tx,
  job: string,
  { by, because }: Deletion,
  now: string,
  years = KEEP_YEARS,
): Promise<void> {
  await hold(tx, job);
  const record = await readJob(tx, job);
  if (!record) throw new Refused(`there is no job ${job}`);
  if (years < KEEP_YEARS) throw new Refused(`jobs are kept at least ${KEEP_YEARS} years, not ${years}`);
  if (by.trim() === '' || because.trim() === '') throw new Refused(`job ${job}: say who deletes it, and why`);
  if (fold(record.events).status === 'open')
    throw new Refused(`job ${job} is open: release it or leave it unfinished first`);
  if (!isOver(record, now, years))
    throw new Refused(
      `job ${job} was last written to at ${record.written}: it is kept ${count(years, 'year')} from then`,
    );
  const shown = record.entries.flatMap((entry) => photosIn(entry.event));
  await tx.deleteFrom('record_events').where('job', '=', job).execute();
  await tx.deleteFrom('record_personal').where('job', '=', job).execute();
  await tx.deleteFrom('record_heads').where('job', '=', job).execute();
  await tx
    .insertInto('record_deleted')
    .values({ job, version: record.version, hash: record.hash, at: now, by, because })
    .execute();
  for (const hash of new Set(shown))
    if (!(await isShown(tx, hash))) await tx.deleteFrom('record_photos').where('hash', '=', hash).execute();
}

async function isShown(tx: Tx, hash: string): Promise<boolean> {
  const rows = await tx.selectFrom('record_events').select('event').where('event', 'like', `%${hash}%`).execute();
  return rows.some((row) => photosIn(parsed(row)).includes(hash));
}

function isOver(head: Head, now: string, years: number): boolean {
  const end = new Date(head.written);
  end.setUTCFullYear(end.getUTCFullYear() + years);
  return new Date(now) >= end;
}

/** Photos that are not there, though a job's events speak of them. */
export async function absentPhotos(db: Db, { rows }: Pick<Chain, 'rows'>): Promise<string[]> {
  const shown = [...new Set(rows.flatMap((row) => photosIn(parsed(row))))];
  const there = new Set<string>();
  for (const hash of shown) {
    const row = await db.selectFrom('record_photos').select('hash').where('hash', '=', hash).executeTakeFirst();
    if (row) there.add(hash);
  }
  return shown.filter((hash) => !there.has(hash));
}
