import type { Flaw } from './log/contract.ts';
import { SqlLog } from './log/log.ts';
import { openSqlite, type Opening } from './log/open.ts';
import { Jobs } from './jobs.ts';
import { takeOverDrafts } from './shop/take-over.ts';
import { People } from './shop/people.ts';
import { type RuleBundle, Rulebooks } from './shop/rulebooks.ts';
import { Sessions } from './shop/sessions.ts';
import { ShopSettings } from './shop/settings.ts';

/** All that a shop keeps, in one database. */
export interface Kept {
  readonly log: SqlLog;
  /** What was found when every chain was verified. */
  readonly flaws: readonly Flaw[];
  readonly drafts: Jobs;
  readonly people: People;
  readonly sessions: Sessions;
  readonly settings: ShopSettings;
  readonly rulebooks: Rulebooks;
  close(): Promise<void>;
}

/** Opens what is kept in a folder and verifies the record. Throws Unavailable. */
export async function openShop(
  folder: string,
  rules: RuleBundle,
  { now = () => new Date(), ...opening }: Opening & { readonly now?: () => Date } = {},
): Promise<Kept> {
  const store = await openSqlite(folder, opening);
  try {
    await takeOverDrafts(folder, store);
    const log = new SqlLog(store, now);
    const flaws: Flaw[] = [];
    for await (const job of log.verify()) flaws.push(...job.flaws);
    return {
      log,
      flaws,
      drafts: new Jobs(store),
      people: new People(store),
      sessions: new Sessions(store, now),
      settings: new ShopSettings(store),
      rulebooks: await Rulebooks.open(store, rules, now()),
      close: () => store.close(),
    };
  } catch (error) {
    await store.close();
    throw error;
  }
}
