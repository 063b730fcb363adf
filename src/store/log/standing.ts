import type { Kysely, Migration } from 'kysely';
import type { Columns } from './columns.ts';
import type { Sealed } from './seal.ts';

/** What a list of jobs shows of each without reading its events. It follows from them, and `verify` holds it to that. */
export interface Standing {
  readonly status: 'open' | 'released' | 'left-unfinished';
  /** Version of the rulebook the job is pinned to. */
  readonly rulebook: string;
}

const NEW: Standing = { status: 'open', rulebook: '' };

/** A job's standing one kept event later, whatever version that is. */
export function standingAfter(event: Sealed, before: Standing = NEW): Standing {
  const text = (field: unknown, otherwise: string) => (typeof field === 'string' ? field : otherwise);
  switch (event['type']) {
    case 'job':
    case 'opened':
    case 'came-back':
      return { status: 'open', rulebook: text(event['rulebook'], before.rulebook) };
    case 'rulebook-changed':
      return { ...before, rulebook: text(event['to'], before.rulebook) };
    case 'released':
    case 'left-unfinished':
      return { ...before, status: event['type'] };
    case 'reopened':
      return { ...before, status: 'open' };
    default:
      return before;
  }
}

/** Lists of ten thousand jobs need neither their events nor a sort. */
export function standingMigration({ text }: Columns): Migration {
  return {
    up: async (db: Kysely<unknown>) => {
      const heads = db as Kysely<{
        record_heads: { job: string; status: string; rulebook: string };
        record_events: { job: string; number: number; event: string };
      }>;
      await db.schema
        .alterTable('record_heads')
        .addColumn('status', text, (c) => c.notNull().defaultTo('open'))
        .execute();
      await db.schema
        .alterTable('record_heads')
        .addColumn('rulebook', text, (c) => c.notNull().defaultTo(''))
        .execute();
      for (const { job } of await heads.selectFrom('record_heads').select('job').execute()) {
        const rows = await heads
          .selectFrom('record_events')
          .select('event')
          .where('job', '=', job)
          .orderBy('number')
          .execute();
        const standing = rows.reduce((sofar, row) => standingAfter(eventIn(row.event), sofar), NEW);
        await heads
          .updateTable('record_heads')
          .set({ ...standing })
          .where('job', '=', job)
          .execute();
      }
      await db.schema.createIndex('record_heads_written').on('record_heads').columns(['written desc', 'job']).execute();
      await db.schema
        .createIndex('record_heads_status')
        .on('record_heads')
        .columns(['status', 'written desc', 'job'])
        .execute();
    },
  };
}

/** A damaged text is found by `verify`; it must not keep the rest from being opened. */
function eventIn(text: string): Sealed {
  try {
    return JSON.parse(text) as Sealed;
  } catch {
    return {};
  }
}
