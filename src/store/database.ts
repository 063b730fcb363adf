import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { Kysely, Migrator, SqliteDialect } from 'kysely';
import Database from 'libsql';
import { migrations } from './migrations.ts';

/** Rows as they lie on the disk; JSON is text, times are ISO 8601 in UTC. */
export interface Tables {
  jobs: {
    ro: string;
    /** The job file. */
    job: string;
    /** Version of the rulebook it was last planned with. */
    rules: string;
    /** Counts up from 1 with each change. */
    revision: number;
    updated: string;
  };
}
export type Db = Kysely<Tables>;

/**
 * Opens `lastbolt.db` in a folder, which is made if need be, and brings it up to date. `':memory:'` keeps nothing.
 * Every commit reaches the disk before it is acknowledged (WAL with full synchronisation).
 * Throws if the folder cannot be written or a migration fails.
 */
export async function openDatabase(folder: string): Promise<Db> {
  if (folder !== ':memory:') mkdirSync(folder, { recursive: true });
  const file = new Database(folder === ':memory:' ? folder : join(folder, 'lastbolt.db'), { timeout: 5000 });
  file.pragma('journal_mode = WAL');
  file.pragma('synchronous = FULL');
  const db: Db = new Kysely<Tables>({ dialect: new SqliteDialect({ database: file as never }) });
  const provider = { getMigrations: () => Promise.resolve(migrations) };
  const { error } = await new Migrator({ db, provider }).migrateToLatest();
  if (error) {
    await db.destroy();
    throw new Error(`cannot bring the database in ${folder} up to date`, { cause: error });
  }
  return db;
}
