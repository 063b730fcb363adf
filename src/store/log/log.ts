import type { Kept } from '../../job/upcast.ts';
import { append } from './append.ts';
import { carriedRulebook, keepCarried, rulebooksOf } from './carried.ts';
import type { EventLog, Flaw, Head, JobRecord, Page, Photo, PhotoType } from './contract.ts';
import { exported } from './export.ts';
import { type Imported, importJob, readExported } from './import.ts';
import { keepYearsOf } from '../shop/settings.ts';
import { type Measure, measure } from './measure.ts';
import type { Opening } from './open.ts';
import { photoOf, putPhoto } from './photos.ts';
import { openStore, type Place } from './place.ts';
import type { RulebookFile } from './record-file.ts';
import { headOf, headsOf, pageOf, readJob } from './read.ts';
import { type Deletion, deleteJob, dueForDeletion, removePersonal, removePhoto } from './remove.ts';
import { dropStrays, type Stray, strayPhotos } from './stray.ts';
import { ask, look, type Store, transact } from './transact.ts';
import { allJobs, photoFlaws, type Verified, verifyJobs } from './verify.ts';

/** Jobs whose chains are verified within one transaction. */
const VERIFIED_AT_ONCE = 20;

/** The record in a SQL database. `now` is the machine's clock. */
export class SqlLog implements EventLog {
  constructor(
    private readonly store: Store,
    private readonly now: () => Date = () => new Date(),
  ) {}

  append(job: string, expected: number, events: readonly Kept[]): Promise<Head> {
    return transact(this.store, (tx) => append(tx, job, expected, events, this.stamp()));
  }

  /** Within a transaction, for a head and events that another program moves on in between are no flaw. */
  read(job: string): Promise<JobRecord | undefined> {
    return look(this.store, (db) => readJob(db, job));
  }

  heads(): Promise<Head[]> {
    return ask(this.store, headsOf);
  }

  head(job: string): Promise<Head | undefined> {
    return ask(this.store, (db) => headOf(db, job));
  }

  page(which: Page): Promise<Head[]> {
    return ask(this.store, (db) => pageOf(db, which));
  }

  putPhoto(bytes: Uint8Array, type: PhotoType): Promise<string> {
    return transact(this.store, (tx) => putPhoto(tx, bytes, type, this.stamp()));
  }

  photo(hash: string): Promise<Photo | undefined> {
    return ask(this.store, (db) => photoOf(db, hash));
  }

  /** All jobs, a few at a time, so that a large record needs no more memory than a small one. */
  async *verify(jobs?: readonly string[]): AsyncGenerator<Verified> {
    const all = jobs ?? (await ask(this.store, allJobs));
    for (let from = 0; from < all.length; from += VERIFIED_AT_ONCE)
      yield* await look(this.store, (db) => verifyJobs(db, all.slice(from, from + VERIFIED_AT_ONCE)));
  }

  verifyPhotos(): Promise<Flaw[]> {
    return ask(this.store, photoFlaws);
  }

  /** The job as one line of JSON (RecordFile); undefined if there is none. Throws Tampered. */
  exported(job: string): Promise<string | undefined> {
    return look(this.store, (db) => exported(db, job));
  }

  /** One exported job, whole or not at all. Throws Refused or Tampered. */
  async import(text: string): Promise<Imported> {
    const file = readExported(text);
    return transact(this.store, (tx) => importJob(tx, file));
  }

  /** Versions of the rulebooks that a job was ever pinned to. */
  rulebooksOf(job: string): Promise<string[]> {
    return ask(this.store, (db) => rulebooksOf(db, job));
  }

  /** A rulebook as one line of JSON (RulebookFile); undefined where it is not kept here. */
  carriedRulebook(version: string): Promise<string | undefined> {
    return ask(this.store, (db) => carriedRulebook(db, version));
  }

  /** Takes in a rulebook that came with exported jobs. Throws Refused. */
  keepCarried(file: RulebookFile): Promise<'new' | 'same'> {
    return transact(this.store, (tx) => keepCarried(tx, file));
  }

  measure(): Promise<Measure> {
    return ask(this.store, () => measure(this.store));
  }

  /** Photos whose event never came; see strayPhotos in stray.ts. */
  strays(): Promise<Stray[]> {
    return ask(this.store, (db) => strayPhotos(db, this.stamp()));
  }

  /** Takes them out of the record; gives how many. */
  async dropStrays(): Promise<number> {
    const dropped = await transact(this.store, (tx) => dropStrays(tx, this.stamp()));
    if (dropped > 0) await this.store.forget();
    return dropped;
  }

  /**
   * A whole copy in a new file, while everybody goes on writing. Throws Unavailable, and Refused where the database is
   * backed up by a program of its own, which it names.
   */
  backup(file: string): Promise<void> {
    return this.store.copy(file);
  }

  /** See removePersonal in remove.ts. */
  async removePersonal(job: string, values?: readonly string[]): Promise<number> {
    const removed = await transact(this.store, (tx) => removePersonal(tx, job, this.stamp(), values));
    await this.store.forget();
    return removed;
  }

  async removePhoto(hash: string): Promise<void> {
    await transact(this.store, (tx) => removePhoto(tx, hash, this.stamp()));
    await this.store.forget();
  }

  /** As the shop's settings say; never under what the law asks for. */
  keepYears(): Promise<number> {
    return ask(this.store, keepYearsOf);
  }

  async due(years?: number): Promise<Head[]> {
    const kept = years ?? (await this.keepYears());
    return ask(this.store, (db) => dueForDeletion(db, this.stamp(), kept));
  }

  /** The only way in which a job leaves the record; see deleteJob in remove.ts. */
  async delete(job: string, deletion: Deletion, years?: number): Promise<void> {
    const kept = years ?? (await this.keepYears());
    await transact(this.store, (tx) => deleteJob(tx, job, deletion, this.stamp(), kept));
    await this.store.forget();
  }

  close(): Promise<void> {
    return this.store.close();
  }

  private stamp(): string {
    return this.now().toISOString();
  }
}

/**
 * Opens the record of a site and verifies every chain in it, unless told to leave that. A flaw in one job is no reason
 * to shut out the others: `flaws` are for whoever opened it to show.
 */
export async function openLog(
  place: Place,
  { verify = true, now, ...opening }: Opening & { readonly verify?: boolean; readonly now?: () => Date } = {},
): Promise<{ readonly log: SqlLog; readonly flaws: readonly Flaw[] }> {
  const log = new SqlLog(await openStore(place, opening), now);
  const flaws: Flaw[] = [];
  if (verify) for await (const job of log.verify()) flaws.push(...job.flaws);
  return { log, flaws };
}
