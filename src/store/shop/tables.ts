/** Rows of the shop around the record; JSON is text, times are ISO 8601 in UTC. */
export interface ShopTables {
  people: {
    id: string;
    name: string;
    /** The name as it is compared: two people never share one, whatever its case. */
    name_key: string;
    /** JSON array. */
    roles: string;
    gone: number;
    /** Hash of the PIN; see pin.ts. */
    pin: string;
    /** Wrong PINs in a row, and until when no other is tried. */
    wrong: number;
    locked_until: string | null;
  };
  /** `hash` is that of the session's id: who reads the database can not sign in with it. */
  sessions: { hash: string; person: string; made: string; touched: string };
  /** One row. */
  shop: { id: number; settings: string; demo: number };
  /**
   * Every rulebook that was ever in force; `files` is its bundle, gzipped JSON, `seen` when one of several servers last
   * said that it uses it.
   */
  rulebooks: { version: string; since: string; files: Uint8Array; seen: string | null };
  /** One row, as long as nobody works here. */
  first_code: { id: number; code: string };
  /** Sheets that are written up and not opened. */
  drafts: {
    ro: string;
    /** The job file. */
    job: string;
    /** Version of the rulebook it was last planned with. */
    rules: string;
    /** Counts up from 1 with each change. */
    revision: number;
    updated: string;
  };
}
