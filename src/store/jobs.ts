import type { JobFile } from '../resolve/facts.ts';
import { Spoken } from './log/contract.ts';
import type { Db, Tables } from './log/tables.ts';
import { ask, look, type Store, transact, type Tx } from './log/transact.ts';

/** A draft as it was last kept: a job written up and not opened. */
export interface Kept {
  readonly ro: string;
  readonly job: JobFile;
  readonly rules: string;
  readonly revision: number;
  readonly updated: string;
}

/** Somebody else changed the draft since the caller last read it; `current` is what stands now. */
export class Overtaken extends Spoken {
  constructor(readonly current: Kept) {
    super(`job ${current.ro} was changed elsewhere at ${current.updated} (revision ${current.revision})`);
  }
}

/** The job is opened: from then on there is its record, and no draft. */
export class OnRecord extends Spoken {
  constructor(ro: string) {
    super(`job ${ro} is on record: it is changed there, not as a draft`);
  }
}

/** Drafts, each one row, the newest first. A record of the same number shadows one. */
export class Jobs {
  constructor(private readonly store: Store) {}

  async list(): Promise<Kept[]> {
    const rows = await ask(this.store, (db) =>
      db
        .selectFrom('drafts')
        .selectAll()
        .where((eb) =>
          eb.not(
            eb.exists(
              eb.selectFrom('record_heads').select('record_heads.job').whereRef('record_heads.job', '=', 'drafts.ro'),
            ),
          ),
        )
        .orderBy('updated', 'desc')
        .orderBy('ro')
        .execute(),
    );
    return rows.map(kept);
  }

  async get(ro: string): Promise<Kept | undefined> {
    return look(this.store, async (db) => ((await isOnRecord(db, ro)) ? undefined : read(db, ro)));
  }

  /**
   * Keeps a draft. `basedOn` is the revision the change was made on, 0 for one that must be new; left out, whatever
   * stands is replaced. Throws Overtaken if it was changed in between, OnRecord.
   */
  async put(job: JobFile, rules: string, updated: string, basedOn?: number): Promise<Kept> {
    return transact(this.store, async (tx) => {
      await hold(tx, job.ro);
      if (await isOnRecord(tx, job.ro)) throw new OnRecord(job.ro);
      const current = await read(tx, job.ro);
      if (current && basedOn !== undefined && basedOn !== current.revision) throw new Overtaken(current);
      const row = { ro: job.ro, job: JSON.stringify(job), rules, revision: (current?.revision ?? 0) + 1, updated };
      await tx
        .insertInto('drafts')
        .values(row)
        .onConflict((conflict) => conflict.column('ro').doUpdateSet(row))
        .execute();
      return kept(row);
    });
  }

  /** Strikes a draft off; nothing happens if there is none. Throws Overtaken if it was changed since `basedOn`. */
  async strike(ro: string, basedOn?: number): Promise<void> {
    await transact(this.store, async (tx) => {
      await hold(tx, ro);
      const current = await read(tx, ro);
      if (current && basedOn !== undefined && basedOn !== current.revision) throw new Overtaken(current);
      await tx.deleteFrom('drafts').where('ro', '=', ro).execute();
    });
  }
}

/** The record's name for the job, for a draft is kept only as long as there is no record of it. */
function hold(tx: Tx, ro: string): Promise<void> {
  return tx.hold(`job ${ro}`);
}

async function isOnRecord(db: Db, ro: string): Promise<boolean> {
  const head = await db.selectFrom('record_heads').select('job').where('job', '=', ro).executeTakeFirst();
  return head !== undefined;
}

async function read(db: Db, ro: string): Promise<Kept | undefined> {
  const row = await db.selectFrom('drafts').selectAll().where('ro', '=', ro).executeTakeFirst();
  return row && kept(row);
}

function kept({ ro, job, rules, revision, updated }: Tables['drafts']): Kept {
  return { ro, job: JSON.parse(job) as JobFile, rules, revision, updated };
}
