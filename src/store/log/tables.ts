import type { Kysely } from 'kysely';
import type { ShopTables } from '../shop/tables.ts';
import type { Standing } from './standing.ts';

/** Rows as they lie in SQLite and PostgreSQL alike; JSON is text, times are ISO 8601 in UTC. */
export interface Tables extends ShopTables {
  record_events: {
    job: string;
    /** From 1. */
    number: number;
    /** The client's id of the event, one of a kind within the job. */
    id: string;
    kept: string;
    /** Canonical JSON, personal fields sealed. */
    event: string;
    /** Hash of the link before; 64 noughts before the first. */
    previous: string;
    hash: string;
  };
  /** Where each job stands: a row that lists need not search the events for, and that a writer holds while it writes. */
  record_heads: {
    job: string;
    version: number;
    hash: string;
    opened: string;
    written: string;
    status: Standing['status'];
    rulebook: string;
  };
  record_personal: { job: string; hash: string; salt: string | null; value: string | null; removed: string | null };
  record_photos: { hash: string; type: string; kept: string; bytes: Uint8Array | null; removed: string | null };
  /** Jobs deleted after their time: what is left of them. */
  record_deleted: { job: string; version: number; hash: string; at: string; by: string; because: string };
}

export type Db = Kysely<Tables>;
