import type { Kysely, Migration } from 'kysely';
import type { Columns } from '../log/columns.ts';

/** Who works here, who is signed in, the shop's settings, the rulebooks that were in force, and drafts. */
export function shopMigration(columns: Columns): Migration {
  return {
    up: async (db: Kysely<unknown>) => {
      await people(db, columns);
      await sessions(db, columns);
      await shop(db, columns);
      await rulebooks(db, columns);
      await drafts(db, columns);
    },
  };
}

const people = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('people')
    .addColumn('id', text, (c) => c.primaryKey())
    .addColumn('name', text, (c) => c.notNull())
    .addColumn('name_key', text, (c) => c.notNull().unique())
    .addColumn('roles', text, (c) => c.notNull())
    .addColumn('gone', 'integer', (c) => c.notNull())
    .addColumn('pin', text, (c) => c.notNull())
    .addColumn('wrong', 'integer', (c) => c.notNull())
    .addColumn('locked_until', text)
    .execute();

const sessions = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('sessions')
    .addColumn('hash', text, (c) => c.primaryKey())
    .addColumn('person', text, (c) => c.notNull())
    .addColumn('made', text, (c) => c.notNull())
    .addColumn('touched', text, (c) => c.notNull())
    .execute();

const shop = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('shop')
    .addColumn('id', 'integer', (c) => c.primaryKey())
    .addColumn('settings', text, (c) => c.notNull())
    .addColumn('demo', 'integer', (c) => c.notNull())
    .execute();

const rulebooks = (db: Kysely<unknown>, { bytes, text }: Columns) =>
  db.schema
    .createTable('rulebooks')
    .addColumn('version', text, (c) => c.primaryKey())
    .addColumn('since', text, (c) => c.notNull())
    .addColumn('files', bytes, (c) => c.notNull())
    .execute();

const drafts = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('drafts')
    .addColumn('ro', text, (c) => c.primaryKey())
    .addColumn('job', text, (c) => c.notNull())
    .addColumn('rules', text, (c) => c.notNull())
    .addColumn('revision', 'integer', (c) => c.notNull())
    .addColumn('updated', text, (c) => c.notNull())
    .execute();

/** What several servers on one database must know of each other: the code at the door, and which rulebooks they use. */
export function serversMigration({ text }: Columns): Migration {
  return {
    up: async (db: Kysely<unknown>) => {
      await db.schema
        .createTable('first_code')
        .addColumn('id', 'integer', (c) => c.primaryKey())
        .addColumn('code', text, (c) => c.notNull())
        .execute();
      await db.schema.alterTable('rulebooks').addColumn('seen', text).execute();
    },
  };
}
