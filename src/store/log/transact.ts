import { setTimeout as pause } from 'node:timers/promises';
import type { Transaction } from 'kysely';
import { Refused, Spoken, Unavailable } from './contract.ts';
import type { Db, Tables } from './tables.ts';

/** A database and what only its own kind knows how to do. */
export interface Store {
  readonly db: Db;
  /** Whether other servers may write to it behind this one's back: then nothing of it is remembered between calls. */
  readonly shared: boolean;
  /** Throws Unavailable if what is written would go to nobody: the file is gone or another lies in its place. */
  check(): void;
  /** Makes other writers of the same thing wait until the transaction is over; see Tx. */
  hold(tx: Transaction<Tables>, what: string): Promise<void>;
  /** Makes the database forget on the disk what was just deleted, as far as it can. */
  forget(): Promise<void>;
  /** Writes a whole copy into a new file. Throws Refused where that is another program's work, and names it. */
  copy(file: string): Promise<void>;
  close(): Promise<void>;
}

/**
 * A transaction that writes. What is decided upon is held first, before anything is read: a job by its number, drafts and
 * people each under a name of their own. On SQLite that takes the only lock there is; on PostgreSQL one that bears the
 * name, for a row that is not there yet can not be locked, and two that make it at once must end in one refusal.
 */
export type Tx = Transaction<Tables> & { readonly hold: (what: string) => Promise<void> };

/** Times that a transaction is tried anew which the database itself gave up for the sake of another. */
const TRIES = 5;
/** Up to so long apart, that the same two do not meet again. */
const APART_MS = 100;

/**
 * All of `work` or nothing; where the database gave it up for another's sake it is done again from the beginning. Throws
 * its own refusals as they are, and Unavailable for whatever the database says.
 */
export async function transact<T>(store: Store, work: (tx: Tx) => Promise<T>): Promise<T> {
  for (let left = TRIES; ; left--) {
    // A full disk makes SQLite roll back by itself; that there is nothing left to roll back must not hide the cause.
    let first: unknown;
    let worked = false;
    try {
      store.check();
      const done = await store.db.transaction().execute(async (tx) => {
        try {
          const done = await work(Object.assign(tx, { hold: (what: string) => store.hold(tx, what) }));
          worked = true;
          return done;
        } catch (error) {
          first = error;
          throw error;
        }
      });
      // Nothing is acknowledged that went into a file which nobody will find again.
      store.check();
      return done;
    } catch (error) {
      const cause = first ?? error;
      if (left > 1 && GIVEN_UP.test(codeOf(cause))) {
        await pause(Math.random() * APART_MS);
        continue;
      }
      throw worked && isGone(cause) ? inDoubt(cause) : told(cause);
    }
  }
}

/**
 * Reads that belong together, as of one moment: without it a job's events and its place on the list may be of before and
 * after somebody else's writing, and look damaged. (SQLite reads so in every transaction.)
 */
export async function look<T>(store: Store, work: (db: Db) => Promise<T>): Promise<T> {
  return ask(store, (db) =>
    db.transaction().setIsolationLevel('repeatable read').setAccessMode('read only').execute(work),
  );
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
  const code = codeOf(error);
  if (error instanceof TypeError && !code) return error;
  if (NO_CHARACTER.test(code))
    return new Refused('it holds a character that can not be kept, such as U+0000', { cause: error });
  return new Unavailable(`nothing was kept: ${saying(error)}`, { cause: error });
}

/** What the database's error means, without "nothing was kept". */
export function saying(error: Error): string {
  const code = codeOf(error);
  const known = SAYINGS.find(([codes]) => codes.test(code) || codes.test(error.message));
  return known ? known[1] : `the database says "${error.message}"`;
}

/** The line broke while the database was told to keep it: it may have. Sent again it is kept once, whatever happened. */
function inDoubt(cause: unknown): Unavailable {
  return new Unavailable(
    'the database went away before it said whether this was kept: look, or send it again; an event is kept once',
    { cause },
  );
}

function codeOf(error: unknown): string {
  const code = (error as { readonly code?: unknown } | undefined)?.code;
  return typeof code === 'string' ? code : '';
}

export function isGone(error: unknown): boolean {
  return error instanceof Error && (GONE.test(codeOf(error)) || GONE.test(error.message));
}

/** PostgreSQL: a deadlock was resolved at this one's cost, or what it had read was written to by another. */
const GIVEN_UP = /^40P01$|^40001$/;

/** PostgreSQL: a text with U+0000 in it. */
const NO_CHARACTER = /^22021$|^22P05$/;

/** No connection: of SQLite's result codes, of PostgreSQL's classes 08 and 57P, of the network, and what pg says without a code. */
const GONE =
  /^SQLITE_CANTOPEN|^ConnectionFailed|^57P|^08|^E(CONN\w+|PIPE|TIMEDOUT|HOSTUNREACH|NETUNREACH|NETDOWN|AI_AGAIN|NOTFOUND|NOENT)$|^Connection terminated|^Client has encountered a connection error|timeout exceeded when trying to connect|^Query read timeout|not queryable|driver has already been destroyed/;

/** SQLite's result codes, and PostgreSQL's (appendix A of its manual). */
const SAYINGS: readonly (readonly [RegExp, string])[] = [
  [/^SQLITE_FULL|^53100/, 'the disk is full; make room and send it again'],
  [
    /^SQLITE_BUSY|^SQLITE_LOCKED|^55P03|^57014|^40P01|^40001/,
    'another program holds the database; try again in a moment',
  ],
  [/^SQLITE_READONLY/, 'the database may not be written; look at the rights of its folder'],
  [/^25006/, 'the database takes nothing in: it is set to read only, or this is a replica'],
  [/^53300/, 'the database has no connection left; fewer servers, or a higher max_connections'],
  [/^53200/, 'the database is out of memory; try again in a moment'],
  [/^28|SASL/, 'the database does not let this user in; look at user and password in DATABASE_URL'],
  [/^3D000/, 'there is no database of the name in DATABASE_URL'],
  [/^42501/, 'the database does not let this user do it; the user needs to own the schema, or to be let make one'],
  [/^42P01|^3F000/, 'a table is gone from the database; put the last backup in its place'],
  [/^SQLITE_CORRUPT|^SQLITE_NOTADB|^XX00[12]/, 'the database is damaged; put the last backup in its place'],
  [/^SQLITE_IOERR|^58030/, 'the disk does not answer as it should'],
  [GONE, 'the database can not be reached'],
];
