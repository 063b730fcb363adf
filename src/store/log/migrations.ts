import type { Kysely, Migration } from 'kysely';
import { shopMigration } from '../shop/migration.ts';
import { standingMigration } from './standing.ts';

/**
 * In order of name, forwards only: one that has been released is never changed, a new one follows it. `bytes` is what the
 * database calls a column of bytes: the one word in which SQLite and PostgreSQL differ here.
 */
export function migrations(bytes: 'blob' | 'bytea'): Record<string, Migration> {
  return {
    '001-record': {
      up: async (db: Kysely<unknown>) => {
        await events(db);
        await heads(db);
        await personal(db);
        await photos(db, bytes);
        await deleted(db);
      },
    },
    '002-standing': standingMigration,
    '003-shop': shopMigration(bytes),
  };
}

const events = (db: Kysely<unknown>) =>
  db.schema
    .createTable('record_events')
    .addColumn('job', 'text', (c) => c.notNull())
    .addColumn('number', 'integer', (c) => c.notNull())
    .addColumn('id', 'text', (c) => c.notNull())
    .addColumn('kept', 'text', (c) => c.notNull())
    .addColumn('event', 'text', (c) => c.notNull())
    .addColumn('previous', 'text', (c) => c.notNull())
    .addColumn('hash', 'text', (c) => c.notNull())
    .addPrimaryKeyConstraint('record_events_number', ['job', 'number'])
    .addUniqueConstraint('record_events_id', ['job', 'id'])
    .execute();

const heads = (db: Kysely<unknown>) =>
  db.schema
    .createTable('record_heads')
    .addColumn('job', 'text', (c) => c.primaryKey())
    .addColumn('version', 'integer', (c) => c.notNull())
    .addColumn('hash', 'text', (c) => c.notNull())
    .addColumn('opened', 'text', (c) => c.notNull())
    .addColumn('written', 'text', (c) => c.notNull())
    .execute();

const personal = (db: Kysely<unknown>) =>
  db.schema
    .createTable('record_personal')
    .addColumn('job', 'text', (c) => c.notNull())
    .addColumn('hash', 'text', (c) => c.notNull())
    .addColumn('salt', 'text')
    .addColumn('value', 'text')
    .addColumn('removed', 'text')
    .addPrimaryKeyConstraint('record_personal_hash', ['job', 'hash'])
    .execute();

const photos = (db: Kysely<unknown>, bytes: 'blob' | 'bytea') =>
  db.schema
    .createTable('record_photos')
    .addColumn('hash', 'text', (c) => c.primaryKey())
    .addColumn('type', 'text', (c) => c.notNull())
    .addColumn('kept', 'text', (c) => c.notNull())
    .addColumn('bytes', bytes as 'blob')
    .addColumn('removed', 'text')
    .execute();

const deleted = (db: Kysely<unknown>) =>
  db.schema
    .createTable('record_deleted')
    .addColumn('job', 'text', (c) => c.primaryKey())
    .addColumn('version', 'integer', (c) => c.notNull())
    .addColumn('hash', 'text', (c) => c.notNull())
    .addColumn('at', 'text', (c) => c.notNull())
    .addColumn('by', 'text', (c) => c.notNull())
    .addColumn('because', 'text', (c) => c.notNull())
    .execute();
