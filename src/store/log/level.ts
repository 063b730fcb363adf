import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { sql } from 'kysely';
import Database from 'libsql';
import { Unavailable } from './contract.ts';
import { SQLITE } from './columns.ts';
import { migrations } from './migrations.ts';
import { FILE } from './open.ts';
import type { Place } from './place.ts';
import { saying } from './transact.ts';

/** How far a record has come beside this program; opening an older one for work brings it up to date. */
export type Level = 'none' | 'older' | 'same' | 'newer';

/** Looks without changing anything. Throws Unavailable. */
export async function levelOf(place: Place): Promise<Level> {
  try {
    const done = typeof place === 'object' && 'database' in place ? await inSchema(place) : inFolder(place);
    if (done === undefined) return 'none';
    const ours = Object.keys(migrations(SQLITE));
    if (done.some((name) => !ours.includes(name))) return 'newer';
    return done.length < ours.length ? 'older' : 'same';
  } catch (error) {
    if (error instanceof Unavailable || !(error instanceof Error)) throw error;
    throw new Unavailable(saying(error), { cause: error });
  }
}

/** What the database's machine takes the time to be. */
export async function clockOf({ database }: Extract<Place, { database: unknown }>): Promise<Date> {
  const { rows } = await sql<{ now: number }>`select extract(epoch from clock_timestamp())::float8 as now`.execute(
    database.inner.db,
  );
  return new Date((rows[0]?.now ?? 0) * 1000);
}

function inFolder(place: Exclude<Place, { database: unknown }>): string[] | undefined {
  const path = join(typeof place === 'string' ? place : place.folder, FILE);
  if (!existsSync(path)) return undefined;
  const file = new Database(path, { timeout: 5000 });
  try {
    const rows = file.prepare('select name from kysely_migration').all() as { name: string }[];
    return rows.map(({ name }) => name);
  } catch (error) {
    if ((error as Error).message.includes('no such table')) return undefined;
    throw error;
  } finally {
    file.close();
  }
}

async function inSchema({ database, site }: Extract<Place, { database: unknown }>): Promise<string[] | undefined> {
  if (!(await database.sites()).includes(site)) return undefined;
  const { rows } = await sql<{ name: string }>`
    select name from ${sql.id(`site_${site}`, 'kysely_migration')}`.execute(database.inner.db);
  return rows.map(({ name }) => name);
}
