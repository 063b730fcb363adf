import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { Kysely, Migrator, SqliteDialect } from 'kysely';
import Database from 'libsql';
import { SQLITE } from '../../src/store/log/columns.ts';
import { migrations } from '../../src/store/log/migrations.ts';
import { openShop } from '../../src/store/open.ts';
import { left, line, opened, photo, told } from '../store.events.ts';

/**
 * A small record as it lay at each step of migration, as SQL: what a later program has to bring up to date. One that is
 * there is never written again: it is what shops have. Behind a new migration `npx tsx tests/drills/levels.ts` writes its
 * file, which then stays.
 */
export const LEVELS = fileURLToPath(new URL('levels/', import.meta.url));

/** Names of the steps, in order. */
export function levels(): string[] {
  return readdirSync(LEVELS)
    .map((name) => name.replace(/\.sql$/, ''))
    .sort();
}

/** Puts the record of a step into an empty folder. */
export function layDown(level: string, folder: string): void {
  const file = new Database(join(folder, 'record.db'));
  file.exec(readFileSync(join(LEVELS, `${level}.sql`), 'utf8'));
  file.close();
}

export const PHOTO = Uint8Array.of(0xff, 0xd8, 0xff, 0xd9);
export const RULES = { version: 'rulebook-of-then', files: { 'traits.json': '{}' } };

/** What stands in each of them, as far as it has the tables. */
async function fill(folder: string): Promise<void> {
  const shop = await openShop(folder, RULES, { now: () => new Date('2026-11-25T09:00:00Z') });
  const hash = await shop.log.putPhoto(PHOTO, 'image/jpeg');
  await shop.log.append('48201', 0, [opened('48201'), told('e2'), line('e3'), photo('e4', hash)]);
  await shop.log.append('48202', 0, [opened('48202'), line('e2', 'Bo Lindqvist'), left('e3')]);
  await shop.log.removePersonal('48202', ['Bo Lindqvist']);
  await shop.people.add({ name: 'Ona Brandt', roles: ['foreman'], pin: '2468' });
  await shop.settings.put({ ...(await shop.settings.get()).shop, name: 'Shop of then' });
  await shop.drafts.put({ ro: '48203', work: [] }, RULES.version, '2026-11-25T09:00:00Z');
  await shop.close();
}

async function write(say: (text: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-levels-'));
  try {
    await fill(folder);
    for (const level of Object.keys(migrations(SQLITE))) {
      const path = join(LEVELS, `${level}.sql`);
      if (existsSync(path)) continue;
      writeFileSync(path, await dumped(level, folder));
      say(`wrote ${path}`);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The tables as that step left them, with the rows that fit into them. */
async function dumped(level: string, folder: string): Promise<string> {
  const path = join(folder, `${level}.db`);
  const file = new Database(path);
  const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: file as never }) });
  const provider = { getMigrations: () => Promise.resolve(migrations(SQLITE)) };
  const { error } = await new Migrator({ db, provider }).migrateTo(level);
  if (error) throw error;
  file.exec(`attach '${join(folder, 'record.db')}' as full`);
  const named = (of: string) => (file.prepare(of).all() as { name: string }[]).map(({ name }) => name);
  const lines: string[] = [];
  for (const { sql } of file
    .prepare('select sql from main.sqlite_master where sql is not null order by rowid')
    .all() as {
    sql: string;
  }[])
    lines.push(`${sql};`);
  for (const table of named(`select name from main.sqlite_master where type = 'table' order by name`)) {
    const columns = named(`select name from pragma_table_info('${table}')`);
    // The steps that were done are its own.
    const from = table.startsWith('kysely_') ? 'main' : 'full';
    for (const row of file.prepare(`select * from ${from}.${table}`).all() as Record<string, unknown>[])
      lines.push(
        `insert into ${table} (${columns.join(', ')}) values (${columns.map((one) => literal(row[one])).join(', ')});`,
      );
  }
  await db.destroy();
  return `${lines.join('\n')}\n`;
}

function literal(value: unknown): string {
  if (value === null || value === undefined) return 'null';
  if (typeof value === 'number') return String(value);
  if (typeof value === 'string') return `'${value.replaceAll("'", "''")}'`;
  return `x'${Buffer.from(value as Uint8Array).toString('hex')}'`;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href)
  await write((text) => console.log(text));
