import { chmodSync, existsSync, mkdirSync, type Stats, statSync } from 'node:fs';
import { join } from 'node:path';
import { Kysely, Migrator, sql, SqliteDialect } from 'kysely';
import Database from 'libsql';
import { Unavailable } from './contract.ts';
import { backup } from './backup.ts';
import { SQLITE } from './columns.ts';
import { migrations } from './migrations.ts';
import type { Db, Tables } from './tables.ts';
import { type Store, told } from './transact.ts';

export const FILE = 'record.db';

/** The part of libsql that is used here; its own types leave it out. */
export type Sqlite = InstanceType<typeof Database>;

export interface Opening {
  /** Make the folder and the database if there is none; otherwise that is an error. */
  readonly create?: boolean;
  /** Called with the bare connection once it is set up: for what only SQLite can do. */
  readonly onOpen?: (file: Sqlite) => void;
}

/**
 * Opens `record.db` in a folder and brings it up to date. Every commit reaches the disk before it is acknowledged (WAL
 * with full synchronisation), and what is deleted is overwritten. Throws Unavailable.
 */
export async function openSqlite(folder: string, { create = true, onOpen }: Opening = {}): Promise<Store> {
  const path = join(folder, FILE);
  if (!create && !existsSync(path)) throw new Unavailable(`there is no record in ${folder}: no ${FILE}`);
  const file = connect(folder, path);
  const db: Db = new Kysely<Tables>({ dialect: new SqliteDialect({ database: prepared(file) as never }) });
  try {
    await migrate(db, file, folder);
  } catch (error) {
    await db.destroy();
    throw error;
  }
  onOpen?.(file);
  const watched = [path, `${path}-wal`].filter(existsSync).map((name) => [name, statSync(name)] as const);
  const store: Store = {
    db,
    shared: false,
    check: () => watched.forEach(([name, was]) => mustBeThere(name, was)),
    forget: async () => void (await sql`pragma wal_checkpoint(truncate)`.execute(db)),
    // Any write does, though it finds nothing to change: SQLite takes its one lock for it.
    hold: async (tx) => void (await tx.updateTable('record_heads').set({ version: 0 }).where('job', '=', '').execute()),
    copy: (to) => backup(store, to),
    close: () => db.destroy(),
  };
  return store;
}

function connect(folder: string, path: string): Sqlite {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const file = new Database(path, { timeout: BUSY_MS });
    // Names, VINs and hashes of PINs: for whoever runs this, and nobody else on the machine.
    chmodSync(path, 0o600);
    file.pragma('journal_mode = WAL');
    file.pragma('synchronous = FULL');
    file.pragma('secure_delete = ON');
    return file;
  } catch (error) {
    throw opened(path, error);
  }
}

/** Statements in use at once; lists of ids make one more for each length. */
const MOST_STATEMENTS = 200;

/**
 * Prepares each statement once. Made anew for each question they would pile up: their memory lies outside of what the
 * garbage collector sees.
 */
function prepared(file: Sqlite): { prepare(text: string): unknown; close(): void } {
  const statements = new Map<string, ReturnType<Sqlite['prepare']>>();
  const prepare = (text: string) => {
    const statement = statements.get(text) ?? file.prepare(text);
    if (statements.size >= MOST_STATEMENTS && !statements.has(text)) statements.clear();
    statements.set(text, statement);
    return statement;
  };
  return { prepare, close: () => void file.close() };
}

/** A second program that opens the folder waits so long for the first to bring it up to date. */
const WAIT_MS = 60_000;
const BUSY_MS = 5_000;

/**
 * In one transaction around all of it: what is killed in between has changed nothing. Kysely takes none for SQLite; it has
 * but this one connection, so everything it does lies within.
 */
async function migrate(db: Db, file: Sqlite, folder: string): Promise<void> {
  const provider = { getMigrations: () => Promise.resolve(migrations(SQLITE)) };
  await begin(file, folder);
  const { error } = await new Migrator({ db, provider }).migrateToLatest();
  if (!error) return void file.exec('commit');
  file.exec('rollback');
  if (error instanceof Error && error.message.includes('corrupted migrations'))
    throw new Unavailable(`the record in ${folder} was written by a newer program: bring this one up to date`, {
      cause: error,
    });
  throw opened(join(folder, FILE), error);
}

/** Asks again and again rather than let SQLite wait: that would hold up this whole process, which may be the other one. */
async function begin(file: Sqlite, folder: string): Promise<void> {
  file.pragma('busy_timeout = 0');
  for (const end = performance.now() + WAIT_MS; ; )
    try {
      file.exec('begin immediate');
      file.pragma(`busy_timeout = ${BUSY_MS}`);
      return;
    } catch (error) {
      if (performance.now() > end || !isBusy(error)) throw opened(join(folder, FILE), error);
      await new Promise((done) => setTimeout(done, 50));
    }
}

function isBusy(error: unknown): boolean {
  return error instanceof Error && /busy|locked/i.test(error.message);
}

function opened(path: string, error: unknown): Unavailable {
  const why = told(error);
  const says = why instanceof Unavailable ? why.message.replace('nothing was kept: ', '') : String(error);
  return new Unavailable(`${path} can not be opened: ${says}`, { cause: error });
}

/** SQLite goes on writing into a file that was deleted or moved away, and all of it is lost. */
function mustBeThere(path: string, was: Stats): void {
  const now = statSync(path, { throwIfNoEntry: false });
  if (now && now.ino === was.ino && now.dev === was.dev) return;
  throw new Unavailable(
    `nothing was kept: ${path} ${now ? 'was replaced by another file' : 'is gone'}; put it back and start again`,
  );
}
