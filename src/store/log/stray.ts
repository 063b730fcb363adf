import { photosIn } from './photos.ts';
import { parsed } from './chain.ts';
import type { Db } from './tables.ts';
import type { Tx } from './transact.ts';

/** A photo comes before the event that shows it; a tablet that went away in between is back within these days. */
export const STRAY_DAYS = 30;

export interface Stray {
  readonly hash: string;
  readonly kept: string;
}

/** Photos that no event of any job shows, kept STRAY_DAYS ago or earlier; the oldest first. */
export async function strayPhotos(db: Db, now: string): Promise<Stray[]> {
  const before = new Date(Date.parse(now) - STRAY_DAYS * 24 * 3_600_000).toISOString();
  const old = await db
    .selectFrom('record_photos')
    .select(['hash', 'kept'])
    .where('kept', '<=', before)
    .where('removed', 'is', null)
    .orderBy('kept')
    .orderBy('hash')
    .execute();
  if (old.length === 0) return [];
  const shown = await shownPhotos(db);
  return old.filter(({ hash }) => !shown.has(hash)).map(({ hash, kept }) => ({ hash, kept }));
}

/** Takes them out of the record; gives how many. Looked for anew within the transaction, for one may just have been shown. */
export async function dropStrays(tx: Tx, now: string): Promise<number> {
  await tx.hold('photos');
  const strays = await strayPhotos(tx, now);
  for (const { hash } of strays) await tx.deleteFrom('record_photos').where('hash', '=', hash).execute();
  return strays.length;
}

/** By a page of events at a time, so that a large record needs no more memory than a small one. */
async function shownPhotos(db: Db): Promise<Set<string>> {
  const shown = new Set<string>();
  const page = 500;
  let after: { job: string; number: number } | undefined = { job: '', number: 0 };
  while (after) {
    const { job, number }: { job: string; number: number } = after;
    const rows: { job: string; number: number; event: string }[] = await db
      .selectFrom('record_events')
      .select(['job', 'number', 'event'])
      // What shows a photo holds its hash under one of these names; see photosIn.
      .where((eb) => eb.or([eb('event', 'like', '%"photo":"%'), eb('event', 'like', '%"hash":"%')]))
      .where((eb) => eb.or([eb('job', '>', job), eb.and([eb('job', '=', job), eb('number', '>', number)])]))
      .orderBy('job')
      .orderBy('number')
      .limit(page)
      .execute();
    for (const row of rows) for (const hash of photosIn(parsed(row))) shown.add(hash);
    after = rows.length === page ? rows.at(-1) : undefined;
  }
  return shown;
}
