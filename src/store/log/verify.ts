import { fold } from '../../job/evolve.ts';
import { Tampered, type Flaw } from './contract.ts';
import { photoOf } from './photos.ts';
import { chainOf, judged } from './read.ts';
import { absentPhotos } from './remove.ts';
import type { Db } from './tables.ts';

export interface Verified {
  readonly job: string;
  readonly events: number;
  readonly flaws: readonly Flaw[];
  /** Photos of an open job that have not come yet. */
  readonly awaited: readonly string[];
}

/** Jobs that have a head or events, by number. */
export async function allJobs(db: Db): Promise<string[]> {
  const heads = await db.selectFrom('record_heads').select('job').execute();
  const written = await db.selectFrom('record_events').select('job').distinct().execute();
  return [...new Set([...heads, ...written].map(({ job }) => job))].sort();
}

/** Jobs one after the other, within one transaction. */
export async function verifyJobs(db: Db, jobs: readonly string[]): Promise<Verified[]> {
  const verified: Verified[] = [];
  for (const job of jobs) verified.push(await verifyJob(db, job));
  return verified;
}

/** One job: its links, its personal fields, whether today's program can read it, and its photos. */
async function verifyJob(db: Db, job: string): Promise<Verified> {
  const chain = await chainOf(db, job);
  if (!chain) return { job, events: 0, flaws: [], awaited: [] };
  const { record, flaws } = judged(chain, chain.head);
  const absent = await absentPhotos(db, chain);
  const settled = record !== undefined && fold(record.events).status !== 'open';
  const missing = settled ? absent : [];
  const says = (hash: string) => `job ${job}: photo ${hash.slice(0, 12)} is missing, and the job is closed`;
  return {
    job,
    events: chain.rows.length,
    flaws: [...flaws, ...missing.map((hash): Flaw => ({ job, number: 0, kind: 'photo', says: says(hash) }))],
    awaited: settled ? [] : absent,
  };
}

/** Photos that are not what was kept, whichever jobs show them. */
export async function photoFlaws(db: Db): Promise<Flaw[]> {
  const flaws: Flaw[] = [];
  for (const { hash } of await db.selectFrom('record_photos').select('hash').orderBy('hash').execute()) {
    try {
      await photoOf(db, hash);
    } catch (error) {
      if (!(error instanceof Tampered)) throw error;
      flaws.push(...error.flaws);
    }
  }
  return flaws;
}
