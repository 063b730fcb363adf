import type { Transaction } from 'kysely';
import { Spoken, Unavailable } from './contract.ts';
import type { Db, Tables } from './tables.ts';

/** A database and what only its own kind knows how to do. */
export interface Store {
  readonly db: Db;
  /** Throws Unavailable if what is written would go to nobody: the file is gone or another lies in its place. */
  check(): void;
  /** Makes the database forget on the disk what was just deleted. */
  forget(): Promise<void>;
  close(): Promise<void>;
}

export type Tx = Transaction<Tables>;

/** All of `work` or nothing. Throws its own refusals as they are, and Unavailable for whatever the database says. */
export async function transact<T>(store: Store, work: (tx: Tx) => Promise<T>): Promise<T> {
  // A full disk makes SQLite roll back by itself; that there is nothing left to roll back must not hide the cause.
  let first: unknown;
  try {
    store.check();
    const done = await store.db.transaction().execute(async (tx) => {
      try {
        return await work(tx);
      } catch (error) {
        first = error;
        throw error;
      }
    });
    // Nothing is acknowledged that went into a file which nobody will find again.
    store.check();
    return done;
  } catch (error) {
    throw told(first ?? error);
  }
}

/** The same for a single question. */
export async function ask<T>(store: Store, question: (db: Db) => Promise<T>): Promise<T> {
  try {
    store.check();
    return await question(store.db);
  } catch (error) {
    throw told(error);
  }
}

/** In words for whoever has to do something about it. */
export function told(error: unknown): unknown {
  if (!(error instanceof Error) || error instanceof Spoken) return error;
  const { code = '' } = error as { readonly code?: string };
  if (error instanceof TypeError && !code) return error;
  const known = SAYINGS.find(([codes]) => codes.test(code) || codes.test(error.message));
  return new Unavailable(`nothing was kept: ${known ? known[1] : `the database says "${error.message}"`}`, {
    cause: error,
  });
}

/** SQLite's result codes, and PostgreSQL's classes 53 (out of resources) and 57, 08 (shut down, no connection). */
const SAYINGS: readonly (readonly [RegExp, string])[] = [
  [/^SQLITE_FULL|^53100/, 'the disk is full; make room and send it again'],
  [/^SQLITE_BUSY|^SQLITE_LOCKED|^55P03/, 'another program holds the database; try again in a moment'],
  [/^SQLITE_READONLY/, 'the database may not be written; look at the rights of its folder'],
  [/^SQLITE_CORRUPT|^SQLITE_NOTADB/, 'the database is damaged; put the last backup in its place'],
  [/^SQLITE_IOERR/, 'the disk does not answer as it should'],
  [/^SQLITE_CANTOPEN|ConnectionFailed|^57P|^08/, 'the database can not be reached'],
];
