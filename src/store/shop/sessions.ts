import { createHash, randomBytes } from 'node:crypto';
import { ask, type Store } from '../log/transact.ts';

/** Somebody signed in on one tablet. */
export interface Signed {
  /** Hash of the session's id: what it is known by here. */
  readonly key: string;
  readonly person: string;
  /** ISO 8601: when it locks if nothing is done before. */
  readonly until: string;
}

/** However much is done in between, a PIN is asked for once a shift. */
const LONGEST_MS = 12 * 3_600_000;
/** A touch is written down no more often than this: each is a commit. What is not written another server does not see. */
const WRITTEN_EVERY_MS = { alone: 20_000, shared: 5_000 };

/** Sessions; they outlive a restart. `lockMinutes` is asked each time, for the shop may change it. */
export class Sessions {
  /** Touches since they were last written down. */
  private readonly touches = new Map<string, number>();

  constructor(
    private readonly store: Store,
    private readonly now: () => Date,
  ) {}

  /** Gives the id that goes into the cookie; only its hash stays here. */
  async begin(person: string): Promise<string> {
    const id = randomBytes(32).toString('base64url');
    const at = this.now().toISOString();
    const day = new Date(this.now().getTime() - 2 * LONGEST_MS).toISOString();
    await ask(this.store, async (db) => {
      await db.deleteFrom('sessions').where('made', '<', day).execute();
      await db
        .insertInto('sessions')
        .values({ hash: keyOf(id), person, made: at, touched: at })
        .execute();
    });
    return id;
  }

  /** The session of a cookie; undefined if there is none, or it has locked. */
  async of(id: string, lockMinutes: number): Promise<Signed | undefined> {
    return this.byKey(keyOf(id), lockMinutes);
  }

  async byKey(key: string, lockMinutes: number): Promise<Signed | undefined> {
    const row = await ask(this.store, (db) =>
      db.selectFrom('sessions').selectAll().where('hash', '=', key).executeTakeFirst(),
    );
    if (!row) return undefined;
    const touched = Math.max(Date.parse(row.touched), this.touches.get(key) ?? 0);
    const until = Math.min(touched + lockMinutes * 60_000, Date.parse(row.made) + LONGEST_MS);
    if (until > this.now().getTime()) return { key, person: row.person, until: new Date(until).toISOString() };
    await this.end(key);
    return undefined;
  }

  async touch(key: string): Promise<void> {
    const now = this.now().getTime();
    const row = await ask(this.store, (db) =>
      db.selectFrom('sessions').select('touched').where('hash', '=', key).executeTakeFirst(),
    );
    if (!row) return;
    this.touches.set(key, now);
    if (now - Date.parse(row.touched) < WRITTEN_EVERY_MS[this.store.shared ? 'shared' : 'alone']) return;
    const touched = new Date(now).toISOString();
    await ask(this.store, (db) => db.updateTable('sessions').set({ touched }).where('hash', '=', key).execute());
  }

  async end(key: string): Promise<void> {
    this.touches.delete(key);
    await ask(this.store, (db) => db.deleteFrom('sessions').where('hash', '=', key).execute());
  }

  /** All of one person, but for one; gives their keys. */
  async endAllOf(person: string, except?: string): Promise<string[]> {
    const rows = await ask(this.store, (db) =>
      db.selectFrom('sessions').select('hash').where('person', '=', person).execute(),
    );
    const keys = rows.map(({ hash }) => hash).filter((key) => key !== except);
    for (const key of keys) await this.end(key);
    return keys;
  }
}

function keyOf(id: string): string {
  return createHash('sha256').update(id).digest('hex');
}

/** What goes back with every change: only who holds the cookie's id can come to it, so it is not kept anywhere. */
export function tokenOf(id: string): string {
  return createHash('sha256').update(`token of ${id}`).digest('base64url');
}
