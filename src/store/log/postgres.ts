import { Kysely, Migrator, PostgresDialect, sql } from 'kysely';
import type pg from 'pg';
import { type Address, addressOf } from './address.ts';
import { Refused, Unavailable } from './contract.ts';
import { type Ear, Line } from './line.ts';
import { POSTGRES } from './columns.ts';
import { migrations } from './migrations.ts';
import type { Opening } from './open.ts';
import type { Db, Tables } from './tables.ts';
import { saying, type Store } from './transact.ts';

/** A PostgreSQL database with a schema for each site; one for a whole server, whichever sites it serves. */
export interface Database {
  /** Where it is, without the password. */
  readonly shown: string;
  /** What whoever runs it ought to know, a sentence each. */
  readonly doubts: readonly string[];
  /** Sites that have a schema here. */
  sites(): Promise<string[]>;
  /** Hears what every server on this database says, this one included, until the function that comes back is called. */
  listen(ear: Ear): () => void;
  /** Says something to all that listen, of at most `MOST_SAID` bytes; false if it could not be said. */
  notify(text: string): Promise<boolean>;
  close(): Promise<void>;
  /** For openSite. */
  readonly inner: Inner;
}

interface Inner {
  readonly db: Db;
  /** One connection on which a statement may take as long as it takes. */
  readonly slow: Db;
}

export const SITE = /^[a-z][a-z0-9-]{0,39}$/;
const PREFIX = 'site_';

/** Versions before it are no longer mended by their makers, and nothing was tried on them. */
const OLDEST = 13;

/** A call of ours takes milliseconds; one that takes longer waits for something that will not come. */
const STATEMENT_MS = 30_000;
const LOCK_MS = 10_000;
const CONNECT_MS = 5_000;

/**
 * Connects to a database. Connections that break are replaced by themselves as soon as it answers again. Throws
 * Unavailable, in words that never hold the password.
 */
export async function openDatabase(text: string, { max = 10 }: { readonly max?: number } = {}): Promise<Database> {
  const address = addressOf(text);
  const driver = (await import('pg')).default;
  const config = { ...configOf(address), onConnect: settled };
  const db = kysely(
    new driver.Pool({ ...config, max, query_timeout: STATEMENT_MS + 5_000, maxLifetimeSeconds: 3_600 }),
  );
  const slow = kysely(new driver.Pool({ ...configOf(address), max: 1, idleTimeoutMillis: 1_000 }));
  const line = new Line(() => new driver.Client({ ...configOf(address), query_timeout: CONNECT_MS }));
  const close = async () => {
    await line.close();
    await Promise.all([db.destroy(), slow.destroy()]);
  };
  try {
    return {
      shown: address.shown,
      doubts: await doubtsOf(db),
      sites: () => sitesOf(db),
      listen: (ear) => line.listen(ear),
      notify: (said) => line.say(said),
      close,
      inner: { db, slow },
    };
  } catch (error) {
    await close();
    throw opened(address.shown, error);
  }
}

/** A site's own schema, made where there is none and told to, and brought up to date. Throws Refused, Unavailable. */
export async function openSite(database: Database, site: string, { create = true }: Opening = {}): Promise<Store> {
  mustBeSite(site);
  const schema = `${PREFIX}${site}`;
  const { db, slow } = database.inner;
  try {
    if (!create && !(await database.sites()).includes(site))
      throw new Unavailable(`there is no record of site ${site} in ${database.shown}`);
    await migrate(slow, schema);
  } catch (error) {
    throw error instanceof Unavailable ? error : opened(database.shown, error);
  }
  return {
    // Every query of the site goes through here, so none can name another's tables.
    db: db.withSchema(schema),
    shared: true,
    check: () => undefined,
    hold: async (tx, what) => {
      // Read committed, with a lock that is taken before anything is read: whoever waited for it then reads what the one
      // before wrote. Under a snapshot, taken before the wait, every wait would end in a failure and a second try.
      await sql`select pg_advisory_xact_lock(hashtextextended(${`lastbolt ${schema} ${what}`}, 0))`.execute(tx);
    },
    forget: () => forget(slow, schema),
    copy: () => Promise.reject(new Refused(copying(database.shown, schema))),
    close: () => Promise.resolve(),
  };
}

export function mustBeSite(site: string): void {
  if (!SITE.test(site))
    throw new Refused(
      `\`${site}\` is no id of a site: it begins with a small letter, and small letters, figures and hyphens follow, 40 at most`,
    );
}

function configOf({ url }: Address): pg.ClientConfig & { connectionTimeoutMillis: number } {
  return {
    connectionString: url,
    application_name: 'lastbolt',
    connectionTimeoutMillis: CONNECT_MS,
    keepAlive: true,
    keepAliveInitialDelayMillis: 10_000,
  };
}

function kysely(pool: pg.Pool): Db {
  // Whoever waits for an answer is told that the connection broke, and it is replaced; unheard, the event that says so
  // once more, of one at rest as of one in use, would end the process.
  pool.on('error', () => undefined);
  pool.on('connect', (client) => client.on('error', () => undefined));
  return new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) });
}

/**
 * Set on each connection rather than sent with its start, which a pooler in between may refuse. A server that dies must
 * not hold its locks for long; and a commit that was acknowledged is on the disk, whatever the database was set to.
 */
async function settled(client: pg.ClientBase): Promise<void> {
  const settings: Record<string, string> = {
    statement_timeout: `${STATEMENT_MS}`,
    lock_timeout: `${LOCK_MS}`,
    idle_in_transaction_session_timeout: `${STATEMENT_MS}`,
    tcp_keepalives_idle: '15',
    tcp_keepalives_interval: '5',
    tcp_keepalives_count: '3',
  };
  const each = Object.entries(settings).map(([name, value]) => `set_config('${name}', '${value}', false)`);
  const durable = `set_config('synchronous_commit', case current_setting('synchronous_commit') when 'off' then 'on' else current_setting('synchronous_commit') end, false)`;
  await client.query(`select ${[...each, durable].join(', ')}`);
}

async function doubtsOf(db: Db): Promise<string[]> {
  const { rows } = await sql<{ name: string; setting: string }>`
    select name, setting from pg_settings
    where name in ('server_version_num', 'server_version', 'server_encoding', 'fsync', 'full_page_writes')`.execute(db);
  const is = Object.fromEntries(rows.map(({ name, setting }) => [name, setting]));
  if (Number(is['server_version_num']) < OLDEST * 10_000)
    throw new Unavailable(`it is PostgreSQL ${is['server_version']}: this program wants ${OLDEST} or newer`);
  if (is['server_encoding'] !== 'UTF8')
    throw new Unavailable(`it keeps text as ${is['server_encoding']}: make the database with the encoding UTF8`);
  return ['fsync', 'full_page_writes']
    .filter((name) => is[name] === 'off')
    .map((name) => `the database runs with ${name} = off: a power cut can damage it, or lose what was acknowledged`);
}

async function sitesOf(db: Db): Promise<string[]> {
  const { rows } = await sql<{ name: string }>`
    select nspname as name from pg_namespace where starts_with(nspname, ${PREFIX}) order by nspname collate "C"`.execute(
    db,
  );
  return rows.map(({ name }) => name.slice(PREFIX.length)).filter((site) => SITE.test(site));
}

/** Kysely takes a lock of the database around it: of several servers that start at once, one does it. */
async function migrate(slow: Db, schema: string): Promise<void> {
  const provider = { getMigrations: () => Promise.resolve(migrations(POSTGRES)) };
  const migrator = new Migrator({ db: slow.withSchema(schema), provider, migrationTableSchema: schema });
  const { error } = await migrator.migrateToLatest();
  if (!error) return;
  if (error instanceof Error && error.message.includes('corrupted migrations'))
    throw new Unavailable(`the record in ${schema} was written by a newer program: bring this one up to date`, {
      cause: error,
    });
  throw error;
}

/**
 * Writes the tables of personal values anew, so that no old row is left in their files. What the database's journal and
 * backups still hold goes as these are recycled. Where others use the table the whole time, its room is only set free.
 */
async function forget(slow: Db, schema: string): Promise<void> {
  const table = sql.id(schema, 'record_personal');
  try {
    await slow.connection().execute(async (one) => {
      await sql.raw(`set lock_timeout = ${LOCK_MS}`).execute(one);
      try {
        await sql`vacuum (full) ${table}`.execute(one);
      } catch {
        await sql`vacuum ${table}`.execute(one);
      } finally {
        await sql`set lock_timeout = 0`.execute(one);
      }
      await sql`vacuum ${sql.id(schema, 'record_photos')}`.execute(one);
    });
  } catch {
    // What was to be removed is removed; the database cleans up by itself later.
  }
}

function copying(shown: string, schema: string): string {
  return `a database is backed up by its own program, while everybody goes on writing:
  pg_dump --format=custom --schema='"${schema}"' --file=BACKUP.dump '${shown}'
It asks for the password, or finds it in PGPASSWORD or ~/.pgpass; pg_restore --dbname=DATABASE BACKUP.dump puts it back.`;
}

function opened(shown: string, error: unknown): unknown {
  if (!(error instanceof Error)) return error;
  const says = error instanceof Unavailable ? error.message : saying(error);
  return new Unavailable(`${shown} can not be opened: ${says}`, { cause: error });
}
