import type { Kysely, Migration } from 'kysely';

/** Who works here, who is signed in, the shop's settings, the rulebooks that were in force, and drafts. */
export function shopMigration(bytes: 'blob' | 'bytea'): Migration {
  return {
    up: async (db: Kysely<unknown>) => {
      await people(db);
      await sessions(db);
      await shop(db);
      await rulebooks(db, bytes);
      await drafts(db);
    },
  };
}

const people = (db: Kysely<unknown>) =>
  db.schema
    .createTable('people')
    .addColumn('id', 'text', (c) => c.primaryKey())
    .addColumn('name', 'text', (c) => c.notNull())
    .addColumn('name_key', 'text', (c) => c.notNull().unique())
    .addColumn('roles', 'text', (c) => c.notNull())
    .addColumn('gone', 'integer', (c) => c.notNull())
    .addColumn('pin', 'text', (c) => c.notNull())
    .addColumn('wrong', 'integer', (c) => c.notNull())
    .addColumn('locked_until', 'text')
    .execute();

const sessions = (db: Kysely<unknown>) =>
  db.schema
    .createTable('sessions')
    .addColumn('hash', 'text', (c) => c.primaryKey())
    .addColumn('person', 'text', (c) => c.notNull())
    .addColumn('made', 'text', (c) => c.notNull())
    .addColumn('touched', 'text', (c) => c.notNull())
    .execute();

const shop = (db: Kysely<unknown>) =>
  db.schema
    .createTable('shop')
    .addColumn('id', 'integer', (c) => c.primaryKey())
    .addColumn('settings', 'text', (c) => c.notNull())
    .addColumn('demo', 'integer', (c) => c.notNull())
    .execute();

const rulebooks = (db: Kysely<unknown>, bytes: 'blob' | 'bytea') =>
  db.schema
    .createTable('rulebooks')
    .addColumn('version', 'text', (c) => c.primaryKey())
    .addColumn('since', 'text', (c) => c.notNull())
    .addColumn('files', bytes as 'blob', (c) => c.notNull())
    .execute();

const drafts = (db: Kysely<unknown>) =>
  db.schema
    .createTable('drafts')
    .addColumn('ro', 'text', (c) => c.primaryKey())
    .addColumn('job', 'text', (c) => c.notNull())
    .addColumn('rules', 'text', (c) => c.notNull())
    .addColumn('revision', 'integer', (c) => c.notNull())
    .addColumn('updated', 'text', (c) => c.notNull())
    .execute();
