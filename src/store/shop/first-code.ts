import { type Store, transact } from '../log/transact.ts';

/** The code at the door of a shop where nobody works yet: one for all servers of the site, whichever printed it. */
export class FirstCodes {
  constructor(private readonly store: Store) {}

  /** The code that stands, which is `fresh` where there is none; undefined once somebody works here. */
  async standing(fresh: string): Promise<string | undefined> {
    return transact(this.store, async (tx) => {
      // Whoever adds the first person holds the same, and takes the code away.
      await tx.hold('people');
      if (await tx.selectFrom('people').select('id').limit(1).executeTakeFirst()) return undefined;
      const row = await tx.selectFrom('first_code').select('code').executeTakeFirst();
      // Alone, a server gives a new one each time it starts: one that was read off its screen is worth nothing then.
      if (row && this.store.shared) return row.code;
      await tx.deleteFrom('first_code').execute();
      await tx.insertInto('first_code').values({ id: 1, code: fresh }).execute();
      return fresh;
    });
  }
}
