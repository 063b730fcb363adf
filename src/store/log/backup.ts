import { chmodSync, closeSync, existsSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs';
import { dirname } from 'node:path';
import { sql } from 'kysely';
import { Refused, Unavailable } from './contract.ts';
import { ask, type Store } from './transact.ts';

/**
 * Copies the database into a new file while it is written to: SQLite takes one moment's state, packs it and leaves out
 * what was deleted. The file bears its name only once it is whole and on the disk.
 */
export async function backup(store: Store, file: string): Promise<void> {
  if (existsSync(file)) throw new Refused(`${file} is there already: a backup never replaces a file`);
  if (!existsSync(dirname(file))) throw new Refused(`there is no folder ${dirname(file)}`);
  const part = `${file}.part`;
  rmSync(part, { force: true });
  try {
    await ask(store, (db) => sql`vacuum into ${part}`.execute(db));
    chmodSync(part, 0o600);
    toDisk(part);
    renameSync(part, file);
    toDisk(dirname(file));
  } catch (error) {
    rmSync(part, { force: true });
    throw error instanceof Unavailable
      ? error
      : new Unavailable(`${file} can not be written: ${(error as Error).message}`, { cause: error });
  }
}

function toDisk(path: string): void {
  const at = openSync(path, 'r');
  try {
    fsyncSync(at);
  } finally {
    closeSync(at);
  }
}
