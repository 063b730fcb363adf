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
    return new Rulebooks(store, inForce);
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
