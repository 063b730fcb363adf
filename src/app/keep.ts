import { type DBSchema, type IDBPDatabase, type IDBPObjectStore, openDB } from 'idb';
import type { JobFile } from '../resolve/facts.ts';
import type { Door, Shop } from '../job/exchange.ts';
import type { RuleBundle } from './book.ts';
import type { NotTaken } from './not-taken.ts';
import type { RecordState } from './record-state.ts';

/** A job as this tablet holds it. */
export interface Held {
  readonly job: JobFile;
  /** The server's revision it stands on; 0 = the server has not seen it. */
  readonly revision: number;
  /** Changed here and not yet taken by the server. */
  readonly waiting: boolean;
  /** Struck off here; it stays until the server has struck it too. */
  readonly gone?: boolean;
  /** Milliseconds since 1970, by this tablet's clock. */
  readonly changed: number;
}

/** Who was signed in last, and how the shop is set. */
export interface KeptDoor {
  readonly door: Door;
  readonly shop: Shop;
}

interface Shelves extends DBSchema {
  jobs: { key: string; value: Held & { ro: string } };
  rules: { key: string; value: RuleBundle };
  records: { key: string; value: RecordState };
  door: { key: string; value: KeptDoor };
  photos: { key: string; value: Blob };
  'not-taken': { key: string; value: NotTaken };
  tablet: { key: string; value: string };
}

/** What this tablet keeps, so that a reload without a signal shows the same sheets. */
export class Keep {
  private asked = false;

  private constructor(private readonly db: IDBPDatabase<Shelves> | undefined) {}

  /** A browser that keeps nothing (a private window may refuse) still works until it is closed. */
  static async open(): Promise<Keep> {
    try {
      const db = await openDB<Shelves>('last-bolt', 3, {
        upgrade(made, had) {
          if (had < 1) {
            made.createObjectStore('jobs', { keyPath: 'ro' });
            made.createObjectStore('rules');
          }
          if (had < 2) {
            made.createObjectStore('records', { keyPath: 'ro' });
            made.createObjectStore('door');
            made.createObjectStore('photos');
          }
          made.createObjectStore('not-taken', { keyPath: 'id' });
          made.createObjectStore('tablet');
        },
      });
      await probe(db);
      return new Keep(db);
    } catch {
      return new Keep(undefined);
    }
  }

  get keeps(): boolean {
    return this.db !== undefined;
  }

  async jobs(): Promise<Held[]> {
    return (await this.db?.getAll('jobs')) ?? [];
  }

  async putJob(held: Held): Promise<void> {
    await this.db?.put('jobs', { ...held, ro: held.job.ro });
    this.askToLast();
  }

  async dropJob(ro: string): Promise<void> {
    await this.db?.delete('jobs', ro);
  }

  async records(): Promise<RecordState[]> {
    return (await this.db?.getAll('records')) ?? [];
  }

  /** `refused` is kept in one stroke with the queue that it left. */
  async putRecord(state: RecordState, refused: readonly NotTaken[] = []): Promise<void> {
    await this.withRefused(refused, (records) => records.put(state));
    this.askToLast();
  }

  async dropRecord(ro: string, refused: readonly NotTaken[] = []): Promise<void> {
    await this.withRefused(refused, (records) => records.delete(ro));
  }

  /** What was not taken and nobody has read yet. */
  async notTaken(): Promise<NotTaken[]> {
    return (await this.db?.getAll('not-taken')) ?? [];
  }

  async putNotTaken(one: NotTaken): Promise<void> {
    await this.db?.put('not-taken', one);
  }

  async dropNotTaken(id: string): Promise<void> {
    await this.db?.delete('not-taken', id);
  }

  /** A name for this tablet, given once and kept. */
  async tablet(fresh: string): Promise<string> {
    const had = await this.db?.get('tablet', 'name');
    if (had === undefined) await this.db?.put('tablet', fresh, 'name');
    return had ?? fresh;
  }

  /** Pictures that the server has not got, by their hash. */
  async photos(): Promise<[string, Blob][]> {
    const hashes = (await this.db?.getAllKeys('photos')) ?? [];
    const blobs = (await this.db?.getAll('photos')) ?? [];
    return hashes.map((hash, i) => [hash, blobs[i] as Blob]);
  }

  async putPhoto(hash: string, blob: Blob): Promise<void> {
    await this.db?.put('photos', blob, hash);
  }

  async dropPhoto(hash: string): Promise<void> {
    await this.db?.delete('photos', hash);
  }

  /** Who was here last; the token of a session is worth nothing without its cookie. */
  async door(): Promise<KeptDoor | undefined> {
    return this.db?.get('door', 'last');
  }

  async putDoor(door: KeptDoor): Promise<void> {
    await this.db?.put('door', door, 'last');
  }

  async rules(): Promise<RuleBundle | undefined> {
    return this.db?.get('rules', 'in-force');
  }

  async putRules(bundle: RuleBundle): Promise<void> {
    await this.db?.put('rules', bundle, 'in-force');
    await this.db?.put('rules', bundle, bundle.version);
  }

  /** Rules that an open record is pinned to. */
  async rulesOf(version: string): Promise<RuleBundle | undefined> {
    return this.db?.get('rules', version);
  }

  async putRulesOf(bundle: RuleBundle): Promise<void> {
    await this.db?.put('rules', bundle, bundle.version);
  }

  /** Asks the browser not to throw this away, once there is a job to lose: some ask whoever sits there. */
  private askToLast(): void {
    if (this.asked || !this.keeps) return;
    this.asked = true;
    // Plain http has no such thing; what is refused is kept all the same, as long as there is room.
    navigator.storage?.persist?.().catch(() => undefined);
  }

  private async withRefused(
    refused: readonly NotTaken[],
    change: (records: RecordStore) => Promise<unknown>,
  ): Promise<void> {
    const stroke = this.db?.transaction(['records', 'not-taken'], 'readwrite');
    if (!stroke) return;
    const told = stroke.objectStore('not-taken');
    await Promise.all([change(stroke.objectStore('records')), ...refused.map((one) => told.put(one)), stroke.done]);
  }
}

/** Written, read and taken away again: a browser that opens a drawer does not always keep what is put into it. */
async function probe(db: IDBPDatabase<Shelves>): Promise<void> {
  const word = `${Math.trunc(performance.timeOrigin)}`;
  await db.put('tablet', word, 'probe');
  if ((await db.get('tablet', 'probe')) !== word) throw new Error('what was written does not come back');
  await db.delete('tablet', 'probe');
}

type RecordStore = IDBPObjectStore<Shelves, ['records', 'not-taken'], 'records', 'readwrite'>;
