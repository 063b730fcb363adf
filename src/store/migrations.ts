import type { Kysely, Migration } from 'kysely';

/** In order of name; one that has been released is never changed, a new one follows it. */
export const migrations: Record<string, Migration> = {
  '001-jobs': {
    up: (db: Kysely<unknown>) =>
      db.schema
        .createTable('jobs')
        .addColumn('ro', 'text', (column) => column.primaryKey())
        .addColumn('job', 'text', (column) => column.notNull())
        .addColumn('rules', 'text', (column) => column.notNull())
        .addColumn('revision', 'integer', (column) => column.notNull())
        .addColumn('updated', 'text', (column) => column.notNull())
        .execute(),
  },
};
