import { Refused, Unavailable } from '../store/log/contract.ts';
import { type Database, type Kept, openDatabase, openShop } from '../store/open.ts';
import type { RuleBundle } from '../store/shop/rulebooks.ts';
import { createApp } from './app.ts';
import { Calls } from './calls.ts';
import { CannotServe } from './cannot-serve.ts';
import type { Settings } from './config-settings.ts';
import type { Doors, Names } from './doors.ts';
import { seedDemo } from './demo/seed.ts';
import { FirstCode } from './first-code.ts';
import { Hub } from './hub.ts';
import { LIMITS } from './limits.ts';
import type { Servers } from './servers.ts';
import { type NamedSite, placeOf, type Served, sitesOf } from './sites.ts';
import { inRanges } from './tls/ranges.ts';

export interface OpenSite extends Served {
  readonly name: string | undefined;
  readonly hosts: readonly string[];
  readonly doors: Doors;
  /** Undefined where somebody works. */
  readonly firstCode: string | undefined;
}

/** The database that the settings name, and everything that is to be known of it; undefined where there is none. */
export async function databaseOf({ database }: Pick<Settings, 'database'>): Promise<Database | undefined> {
  return database === undefined ? undefined : await orCannot(openDatabase(database));
}

export interface Opens {
  readonly settings: Settings;
  readonly database: Database | undefined;
  /** Others on the same database. */
  readonly servers: Servers | undefined;
  readonly rules: RuleBundle;
  /** The site that the invented shop is put into. */
  readonly demo: string | undefined;
  readonly page: string;
  readonly now: () => Date;
  readonly own: Names;
  readonly tell: (site: string) => (line: object) => void;
  readonly appended: (site: string) => Doors['appended'];
}

/** Opens every site, each with everything of its own; where one can not be, none is. Throws CannotServe. */
export async function openSites(opens: Opens): Promise<OpenSite[]> {
  const open: OpenSite[] = [];
  const named = sitesOf(opens.settings);
  try {
    // One after the other: each may bring its own tables up to date.
    for (const site of named) open.push(await openOne(site, named.length === 1, opens));
  } catch (error) {
    await Promise.all(open.map(({ doors }) => doors.close()));
    throw error;
  }
  return open;
}

async function openOne(site: NamedSite, only: boolean, opens: Opens): Promise<OpenSite> {
  const { settings, database, rules, now } = opens;
  const kept = await orCannot(openShop(placeOf(settings, site.id, database), rules, { now }));
  try {
    if (opens.demo === site.id) await seedDemo(kept, now());
    return await behindDoors(site, kept, only, opens);
  } catch (error) {
    await kept.close();
    throw error;
  }
}

async function behindDoors(site: NamedSite, kept: Kept, only: boolean, opens: Opens): Promise<OpenSite> {
  const { settings, own, now, page } = opens;
  const names: Names = { includes: (host) => site.hosts.includes(host) || (only && own.includes(host)) };
  const first = await FirstCode.of(kept.codes);
  const appended = opens.appended(site.id);
  const doors: Doors = {
    ...kept,
    hub: new Hub(opens.servers?.site(site.id)),
    calls: new Calls(),
    first,
    now,
    page,
    hosts: names,
    limits: LIMITS,
    secure: (settings.network && !settings.plain) || settings.proxies.length > 0,
    onlySecure: settings.tls !== undefined,
    tell: opens.tell(site.id),
    proxies: inRanges(settings.proxies),
    ...(appended ? { appended } : {}),
  };
  const { id, name, hosts } = site;
  const nobodyYet = (await kept.people.list()).length === 0;
  return {
    id,
    name,
    hosts,
    names,
    doors,
    firstCode: nobodyYet ? first.text : undefined,
    fetch: createApp(doors).fetch,
  };
}

async function orCannot<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
    if (error instanceof Unavailable || error instanceof Refused) throw new CannotServe(error.message);
    throw error;
  }
}
