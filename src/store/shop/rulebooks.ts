import { gunzipSync, gzipSync } from 'node:zlib';
import { loadRulebook } from '../../rulebook/load.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { ask, type Store } from '../log/transact.ts';

/** A rulebook as it travels to a page: version and every file's text, so that the page comes to the same version. */
export interface RuleBundle {
  readonly version: string;
  readonly files: Readonly<Record<string, string>>;
}

/** `since` of a rulebook that came with imported jobs and was never in force here. */
export const NEVER = '';

/** A server says so this often, and is believed for the longer time: it may be slow, or its clock ahead or behind. */
export const SAID_EVERY_MS = 60_000;
const STILL_MS = 5 * 60_000;

/** Rulebooks at hand at once; jobs of more versions than these are read from the disk each time. */
const MOST_AT_HAND = 8;

/** Every rulebook that was ever in force here, or came with imported jobs: a job keeps the one it was opened under. */
export class Rulebooks {
  private readonly read = new Map<string, Rulebook | undefined>();

  private constructor(
    private readonly store: Store,
    readonly inForce: RuleBundle,
  ) {}

  static async open(store: Store, inForce: RuleBundle, now: Date): Promise<Rulebooks> {
    const row = {
      version: inForce.version,
      since: now.toISOString(),
      files: gzipSync(JSON.stringify(inForce.files)),
      seen: null,
    };
    await ask(store, (db) =>
      db
        .insertInto('rulebooks')
        .values(row)
        // It may have come with somebody's jobs before it was ever in force here.
        .onConflict((conflict) =>
          conflict.column('version').doUpdateSet({ since: row.since }).where('rulebooks.since', '=', NEVER),
        )
        .execute(),
    );
    const books = new Rulebooks(store, inForce);
    await books.say(now);
    return books;
  }

  /** Throws if what was kept is not the rulebook of that version any more. */
  async bundle(version: string): Promise<RuleBundle | undefined> {
    if (version === this.inForce.version) return this.inForce;
    const row = await ask(this.store, (db) =>
      db.selectFrom('rulebooks').select('files').where('version', '=', version).executeTakeFirst(),
    );
    if (!row) return undefined;
    return { version, files: JSON.parse(gunzipSync(row.files).toString('utf8')) as RuleBundle['files'] };
  }

  /** Says that this server uses its rulebook. Of several on one database each says so every `SAID_EVERY_MS`. */
  async say(now: Date): Promise<void> {
    if (!this.store.shared) return;
    const seen = now.toISOString();
    await ask(this.store, (db) =>
      db.updateTable('rulebooks').set({ seen }).where('version', '=', this.inForce.version).execute(),
    );
  }

  /**
   * When a rulebook ceased to be in force, in milliseconds: when another came behind it, or when the last of several
   * servers said that it uses it. Infinity where one of them still does, as while they are brought up to date one by one;
   * undefined where it never was in force here, or nothing came behind it.
   */
  async ceasedAt(version: string, now: Date): Promise<number | undefined> {
    const row = await ask(this.store, (db) =>
      db.selectFrom('rulebooks').select(['since', 'seen']).where('version', '=', version).executeTakeFirst(),
    );
    if (!row || row.since === NEVER) return undefined;
    const seen = row.seen === null ? undefined : Date.parse(row.seen);
    if (seen !== undefined && now.getTime() - seen < STILL_MS) return Infinity;
    const superseded = await this.supersededAt(version);
    return superseded === undefined ? seen : Math.max(Date.parse(superseded), seen ?? 0);
  }

  /** When another came into force behind it; undefined where none did, or it was never in force here. */
  async supersededAt(version: string): Promise<string | undefined> {
    const next = await ask(this.store, (db) =>
      db
        .selectFrom('rulebooks')
        .select('since')
        .where('since', '>', (eb) =>
          eb.selectFrom('rulebooks').select('since').where('version', '=', version).where('since', '!=', NEVER),
        )
        .orderBy('since')
        .limit(1)
        .executeTakeFirst(),
    );
    return next?.since;
  }

  /** Undefined where it is not kept here, or today's program can not read it. */
  async rulebook(version: string): Promise<Rulebook | undefined> {
    if (this.read.has(version)) return this.read.get(version);
    const bundle = await this.bundle(version);
    // Not remembered: it may come with an imported job while this runs.
    if (!bundle) return undefined;
    const loaded = loadRulebook(new Map(Object.entries(bundle.files)));
    const sound = loaded.faults.length === 0 && loaded.rulebook.version === version;
    if (this.read.size >= MOST_AT_HAND) this.read.delete(this.read.keys().next().value as string);
    this.read.set(version, sound ? loaded.rulebook : undefined);
    return this.read.get(version);
  }
}
