import type { Person, Role } from '../../job/people.ts';
import type { Tables } from '../log/tables.ts';
import { count, Refused, Spoken } from '../log/contract.ts';
import { ask, type Store, transact, type Tx } from '../log/transact.ts';
import { hashPin, isPin } from './pin.ts';

/** Somebody may not sign in before `until`. */
export class LockedOut extends Spoken {
  constructor(
    readonly until: string,
    readonly seconds: number,
  ) {
    super(`too many wrong PINs: the next is tried in ${inWords(seconds)}`);
  }
}

export interface NewPerson {
  readonly name: string;
  readonly roles: readonly Role[];
  readonly pin: string;
}

export interface ChangedPerson {
  readonly name?: string | undefined;
  readonly roles?: readonly Role[] | undefined;
  readonly pin?: string | undefined;
  readonly gone?: boolean | undefined;
}

/** Wrong PINs in a row that cost nothing but the try: fingers slip. */
const FREE_TRIES = 2;
/** Behind them each wrong PIN doubles the wait, from this to an hour: a day then holds some thirty tries. */
const FIRST_WAIT_S = 15;
const LONGEST_WAIT_S = 3600;

/** Seconds until the next try, after so many wrong ones in a row. */
export function waitAfter(wrong: number): number {
  if (wrong <= FREE_TRIES) return 0;
  return Math.min(LONGEST_WAIT_S, FIRST_WAIT_S * 2 ** Math.min(20, wrong - FREE_TRIES - 1));
}

/** Who works here, and who did: nobody is taken out, for the record names them. */
export class People {
  constructor(private readonly store: Store) {}

  async list(): Promise<Person[]> {
    const rows = await ask(this.store, (db) => db.selectFrom('people').selectAll().orderBy('name_key').execute());
    return rows.map(person);
  }

  async get(id: string): Promise<Person | undefined> {
    const row = await ask(this.store, (db) =>
      db.selectFrom('people').selectAll().where('id', '=', id).executeTakeFirst(),
    );
    return row && person(row);
  }

  /** Throws Refused if somebody of this name works here, or did; `whereNobodyIs`: if anybody does. */
  async add({ name, roles, pin }: NewPerson, only: { readonly whereNobodyIs?: boolean } = {}): Promise<Person> {
    const hash = await hashPin(pin);
    return transact(this.store, async (tx) => {
      await hold(tx);
      if (only.whereNobodyIs && (await tx.selectFrom('people').select('id').executeTakeFirst()))
        throw new Refused('somebody works here already: a foreman adds people');
      await mustBeFree(tx, name);
      const row = {
        id: await freeId(tx, name),
        name,
        name_key: nameKey(name),
        roles: JSON.stringify([...new Set(roles)]),
        gone: 0,
        pin: hash,
        wrong: 0,
        locked_until: null,
      };
      await tx.insertInto('people').values(row).execute();
      await tx.deleteFrom('first_code').execute();
      return person(row);
    });
  }

  /** Throws Refused where no foreman would be left, a name is taken, or open jobs name them by the old one. */
  async change(id: string, { name, roles, pin, gone }: ChangedPerson): Promise<Person | undefined> {
    const hash = pin === undefined ? undefined : await hashPin(pin);
    return transact(this.store, async (tx) => {
      await hold(tx);
      const row = await tx.selectFrom('people').selectAll().where('id', '=', id).executeTakeFirst();
      if (!row) return undefined;
      if (name !== undefined && name !== row.name) await mustBeRenamable(tx, row, name);
      const changed = {
        ...(name === undefined ? {} : { name, name_key: nameKey(name) }),
        ...(roles === undefined ? {} : { roles: JSON.stringify([...new Set(roles)]) }),
        ...(gone === undefined ? {} : { gone: gone ? 1 : 0 }),
        ...(hash === undefined ? {} : { pin: hash, wrong: 0, locked_until: null }),
      };
      if (Object.keys(changed).length > 0) await tx.updateTable('people').set(changed).where('id', '=', id).execute();
      const after = (await tx.selectFrom('people').selectAll().execute()).map(person);
      if (!after.some((one) => !one.gone && one.roles.includes('foreman')))
        throw new Refused(`${row.name} is the last foreman here: make somebody else foreman first`);
      return after.find((one) => one.id === id);
    });
  }

  /**
   * Whoever this PIN is of, undefined if it is wrong. The try is counted before the PIN is looked at, so that many at
   * once are as many tries. Throws LockedOut.
   */
  async signIn(id: string, pin: string, now: Date): Promise<Person | undefined> {
    const row = await transact(this.store, (tx) => countTry(tx, id, now));
    if (!row) {
      // As long as a wrong PIN takes: who does not work here can not be told from who does.
      await hashPin(pin);
      return undefined;
    }
    if (!(await isPin(pin, row.pin))) return undefined;
    await transact(this.store, (tx) =>
      tx.updateTable('people').set({ wrong: 0, locked_until: null }).where('id', '=', id).execute(),
    );
    return person(row);
  }
}

async function countTry(tx: Tx, id: string, now: Date): Promise<Tables['people'] | undefined> {
  await hold(tx);
  const row = await tx.selectFrom('people').selectAll().where('id', '=', id).where('gone', '=', 0).executeTakeFirst();
  if (!row) return undefined;
  if (row.locked_until !== null && new Date(row.locked_until) > now) throw lockedOut(row.locked_until, now);
  const wrong = row.wrong + 1;
  const wait = waitAfter(wrong);
  const locked_until = wait === 0 ? null : new Date(now.getTime() + wait * 1000).toISOString();
  await tx.updateTable('people').set({ wrong, locked_until }).where('id', '=', id).execute();
  return row;
}

function lockedOut(until: string, now: Date): LockedOut {
  return new LockedOut(until, Math.ceil((Date.parse(until) - now.getTime()) / 1000));
}

function inWords(seconds: number): string {
  return seconds < 90 ? count(seconds, 'second') : count(Math.ceil(seconds / 60), 'minute');
}

/** All of them at once: a name is one person's, and somebody has to stay foreman. */
function hold(tx: Tx): Promise<void> {
  return tx.hold('people');
}

async function mustBeFree(tx: Tx, name: string): Promise<void> {
  const taken = await tx
    .selectFrom('people')
    .select(['name', 'gone'])
    .where('name_key', '=', nameKey(name))
    .executeTakeFirst();
  if (taken)
    throw new Refused(
      `${taken.name} ${taken.gone ? 'worked' : 'works'} here: the record tells people apart by their names`,
    );
}

/** Who had a hand in a step is known by name: with a new one they could check their own work. */
async function mustBeRenamable(tx: Tx, row: Tables['people'], name: string): Promise<void> {
  if (nameKey(name) !== row.name_key) await mustBeFree(tx, name);
  const named = await tx
    .selectFrom('record_personal')
    .innerJoin('record_heads', 'record_heads.job', 'record_personal.job')
    .select('record_heads.job')
    .where('record_heads.status', '=', 'open')
    .where('record_personal.value', '=', row.name)
    .executeTakeFirst();
  if (named) throw new Refused(`${row.name} is named in job ${named.job}, which is open: end it first, then rename`);
}

async function freeId(tx: Tx, name: string): Promise<string> {
  const plain = name.normalize('NFKD').toLowerCase().replace(/\p{M}/gu, '');
  const base =
    plain
      .replaceAll(/[^a-z0-9]+/g, '-')
      .replaceAll(/^-+|-+$/g, '')
      .slice(0, 60) || 'person';
  const taken = new Set((await tx.selectFrom('people').select('id').execute()).map(({ id }) => id));
  for (let n = 1; ; n++) {
    const id = n === 1 ? base : `${base}-${n}`;
    if (!taken.has(id)) return id;
  }
}

/** As the record compares names, and a little further: composed alike, without case, one space between words. */
export function nameKey(name: string): string {
  return name.normalize('NFKC').trim().toLowerCase().replaceAll(/\s+/g, ' ');
}

function person({ id, name, roles, gone }: Tables['people']): Person {
  return { id, name, roles: JSON.parse(roles) as Role[], ...(gone ? { gone: true as const } : {}) };
}
