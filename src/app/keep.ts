import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { JobFile } from '../resolve/facts.ts';
import type { RuleBundle } from './book.ts';

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

interface Shelves extends DBSchema {
  jobs: { key: string; value: Held & { ro: string } };
  rules: { key: string; value: RuleBundle };
}

/** What this tablet keeps, so that a reload without a signal shows the same sheets. */
export class Keep {
  private constructor(private readonly db: IDBPDatabase<Shelves> | undefined) {}

  /** A browser that keeps nothing (a private window may refuse) still works until it is closed. */
  static async open(): Promise<Keep> {
    try {
      const db = await openDB<Shelves>('last-bolt', 1, {
        upgrade(made) {
          made.createObjectStore('jobs', { keyPath: 'ro' });
          made.createObjectStore('rules');
        },
      });
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
  }

  async dropJob(ro: string): Promise<void> {
    await this.db?.delete('jobs', ro);
  }

  async rules(): Promise<RuleBundle | undefined> {
    return this.db?.get('rules', 'in-force');
  }

  async putRules(bundle: RuleBundle): Promise<void> {
    await this.db?.put('rules', bundle, 'in-force');
  }
}
