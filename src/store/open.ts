import type { Flaw } from './log/contract.ts';
import { SqlLog } from './log/log.ts';
import type { Opening } from './log/open.ts';
import { openStore, type Place } from './log/place.ts';
import { Jobs } from './jobs.ts';
import { FirstCodes } from './shop/first-code.ts';
import { takeOverDrafts } from './shop/take-over.ts';
import { People } from './shop/people.ts';
import { type RuleBundle, Rulebooks, SAID_EVERY_MS } from './shop/rulebooks.ts';
import { Sessions } from './shop/sessions.ts';
import { ShopSettings } from './shop/settings.ts';

export type { Place } from './log/place.ts';
export { type Database, openDatabase } from './log/postgres.ts';

/** All that a shop keeps, in one place. */
export interface Kept {
  readonly log: SqlLog;
  /** What was found when every chain was verified; on a shared database it comes to be known while jobs are served. */
  readonly flaws: readonly Flaw[];
  /** All chains are verified; never rejects. */
  readonly verified: Promise<void>;
  readonly drafts: Jobs;
  readonly people: People;
  readonly codes: FirstCodes;
  readonly sessions: Sessions;
  readonly settings: ShopSettings;
  readonly rulebooks: Rulebooks;
  close(): Promise<void>;
}

/**
 * Opens what a site keeps and verifies the record: in a folder before it is used, on a shared database, where other
 * servers go on writing and a restart must not wait, beside its use. Throws Refused for what is no id of a site, and
 * Unavailable.
 */
export async function openShop(
  place: Place,
  rules: RuleBundle,
  { now = () => new Date(), ...opening }: Opening & { readonly now?: () => Date } = {},
): Promise<Kept> {
  const store = await openStore(place, opening);
  try {
    const folder = typeof place === 'string' ? place : 'folder' in place ? place.folder : undefined;
    if (folder !== undefined) await takeOverDrafts(folder, store);
    const log = new SqlLog(store, now);
    const flaws: Flaw[] = [];
    let closed = false;
    const verify = async () => {
      for await (const job of log.verify()) {
        if (closed) return;
        flaws.push(...job.flaws);
      }
    };
    const verified = verify();
    if (!store.shared) await verified;
    const rulebooks = await Rulebooks.open(store, rules, now());
    // What can not be said now is said the next time.
    const saying = setInterval(() => void rulebooks.say(now()).catch(() => undefined), SAID_EVERY_MS).unref();
    return {
      log,
      flaws,
      // The database went away: whatever is wrong with it is found by whoever reads it.
      verified: verified.catch(() => undefined),
      drafts: new Jobs(store),
      people: new People(store),
      codes: new FirstCodes(store),
      sessions: new Sessions(store, now),
      settings: new ShopSettings(store),
      rulebooks,
      close: async () => {
        closed = true;
        clearInterval(saying);
        await verified.catch(() => undefined);
        await store.close();
      },
    };
  } catch (error) {
    await store.close();
    throw error;
  }
}
