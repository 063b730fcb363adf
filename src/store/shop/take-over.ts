import { existsSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import type { Tables } from '../log/tables.ts';
import { type Store, transact } from '../log/transact.ts';

/** Before there was a record, jobs lay in a database of their own. */
const BEFORE = 'lastbolt.db';

/** Takes its jobs over as drafts, once; the file stays under another name. */
export async function takeOverDrafts(folder: string, store: Store): Promise<void> {
  const path = join(folder, BEFORE);
  if (!existsSync(path)) return;
  const file = new Database(path);
  let rows: Tables['drafts'][];
  try {
    rows = file.prepare('select ro, job, rules, revision, updated from jobs').all() as Tables['drafts'][];
    file.pragma('journal_mode = DELETE');
  } finally {
    file.close();
  }
  await transact(store, async (tx) => {
    for (const { ro, job, rules, revision, updated } of rows)
      await tx
        .insertInto('drafts')
        .values({ ro, job, rules, revision, updated })
        .onConflict((conflict) => conflict.column('ro').doNothing())
        .execute();
  });
  renameSync(path, `${path}.taken-over`);
}
