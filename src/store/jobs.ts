import type { JobFile } from '../resolve/facts.ts';
import type { Db, Tables } from './database.ts';

/** A job as it was last kept. */
export interface Kept {
  readonly ro: string;
  readonly job: JobFile;
  readonly rules: string;
  readonly revision: number;
  readonly updated: string;
}

/** Somebody else changed the job since the caller last read it; `current` is what stands now. */
export class Overtaken extends Error {
  constructor(readonly current: Kept) {
    super(`job ${current.ro} was changed elsewhere at ${current.updated} (revision ${current.revision})`);
  }
}

/** Jobs, each one row, the newest first. */
export class Jobs {
  constructor(private readonly db: Db) {}

  async list(): Promise<Kept[]> {
    const rows = await this.db.selectFrom('jobs').selectAll().orderBy('updated', 'desc').orderBy('ro').execute();
    return rows.map(kept);
  }

  async get(ro: string): Promise<Kept | undefined> {
    return this.db.transaction().execute((tx) => read(tx, ro));
  }

  /**
   * Keeps a job. `basedOn` is the revision the change was made on, 0 for a job that must be new; left out, whatever
   * stands is replaced. Throws Overtaken if it was changed in between.
   */
  async put(job: JobFile, rules: string, updated: string, basedOn?: number): Promise<Kept> {
    return this.db.transaction().execute(async (tx) => {
      const current = await read(tx, job.ro);
      if (current && basedOn !== undefined && basedOn !== current.revision) throw new Overtaken(current);
      const row = { ro: job.ro, job: JSON.stringify(job), rules, revision: (current?.revision ?? 0) + 1, updated };
      await tx
        .insertInto('jobs')
        .values(row)
        .onConflict((conflict) => conflict.column('ro').doUpdateSet(row))
        .execute();
      return kept(row);
    });
  }

  /** Strikes a job off; nothing happens if there is none. Throws Overtaken if it was changed since `basedOn`. */
  async strike(ro: string, basedOn?: number): Promise<void> {
    await this.db.transaction().execute(async (tx) => {
      const current = await read(tx, ro);
      if (current && basedOn !== undefined && basedOn !== current.revision) throw new Overtaken(current);
      await tx.deleteFrom('jobs').where('ro', '=', ro).execute();
    });
  }
}

async function read(tx: Db, ro: string): Promise<Kept | undefined> {
  const row = await tx.selectFrom('jobs').selectAll().where('ro', '=', ro).executeTakeFirst();
  return row && kept(row);
}

function kept(row: Tables['jobs']): Kept {
  return { ...row, job: JSON.parse(row.job) as JobFile };
}
