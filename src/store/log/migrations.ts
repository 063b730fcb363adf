import type { Kysely, Migration } from 'kysely';
import type { Columns } from './columns.ts';
import { serversMigration, shopMigration } from '../shop/migration.ts';
import { standingMigration } from './standing.ts';

/** In order of name, forwards only: one that has been released is never changed, a new one follows it. */
export function migrations(columns: Columns): Record<string, Migration> {
  return {
    '001-record': {
      up: async (db: Kysely<unknown>) => {
        await events(db, columns);
        await heads(db, columns);
        await personal(db, columns);
        await photos(db, columns);
        await deleted(db, columns);
      },
    },
    '002-standing': standingMigration(columns),
    '003-shop': shopMigration(columns),
    '004-servers': serversMigration(columns),
  };
}

const events = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('record_events')
    .addColumn('job', text, (c) => c.notNull())
    .addColumn('number', 'integer', (c) => c.notNull())
    .addColumn('id', text, (c) => c.notNull())
    .addColumn('kept', text, (c) => c.notNull())
    .addColumn('event', text, (c) => c.notNull())
    .addColumn('previous', text, (c) => c.notNull())
    .addColumn('hash', text, (c) => c.notNull())
    .addPrimaryKeyConstraint('record_events_number', ['job', 'number'])
    .addUniqueConstraint('record_events_id', ['job', 'id'])
    .execute();

const heads = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('record_heads')
    .addColumn('job', text, (c) => c.primaryKey())
    .addColumn('version', 'integer', (c) => c.notNull())
    .addColumn('hash', text, (c) => c.notNull())
    .addColumn('opened', text, (c) => c.notNull())
    .addColumn('written', text, (c) => c.notNull())
    .execute();

const personal = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('record_personal')
    .addColumn('job', text, (c) => c.notNull())
    .addColumn('hash', text, (c) => c.notNull())
    .addColumn('salt', text)
    .addColumn('value', text)
    .addColumn('removed', text)
    .addPrimaryKeyConstraint('record_personal_hash', ['job', 'hash'])
    .execute();

const photos = (db: Kysely<unknown>, { bytes, text }: Columns) =>
  db.schema
    .createTable('record_photos')
    .addColumn('hash', text, (c) => c.primaryKey())
    .addColumn('type', text, (c) => c.notNull())
    .addColumn('kept', text, (c) => c.notNull())
    .addColumn('bytes', bytes)
    .addColumn('removed', text)
    .execute();

const deleted = (db: Kysely<unknown>, { text }: Columns) =>
  db.schema
    .createTable('record_deleted')
    .addColumn('job', text, (c) => c.primaryKey())
    .addColumn('version', 'integer', (c) => c.notNull())
    .addColumn('hash', text, (c) => c.notNull())
    .addColumn('at', text, (c) => c.notNull())
    .addColumn('by', text, (c) => c.notNull())
    .addColumn('because', text, (c) => c.notNull())
    .execute();
