import { type RawBuilder, sql } from 'kysely';

/** What a database calls a column of bytes and one of text: the words in which SQLite and PostgreSQL differ here. */
export interface Columns {
  readonly bytes: RawBuilder<unknown>;
  readonly text: RawBuilder<unknown>;
}

export const SQLITE: Columns = { bytes: sql`blob`, text: sql`text` };
/** Text is compared byte by byte, as SQLite does: in one order everywhere, whatever language the database speaks. */
export const POSTGRES: Columns = { bytes: sql`bytea`, text: sql`text collate "C"` };
