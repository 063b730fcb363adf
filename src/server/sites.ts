import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Context, Hono } from 'hono';
import { secureHeaders } from 'hono/secure-headers';
import { FILE as RECORD } from '../store/log/open.ts';
import type { Database, Place } from '../store/open.ts';
import type { Site } from './config.ts';
import type { Settings } from './config-settings.ts';
import type { Names } from './doors.ts';
import { hostNameAsked } from './guard.ts';
import { answerTo, No } from './refusal.ts';
import { LOOPBACK, machineNames } from './tls/names.ts';
import { TRUST } from './trust.ts';

/** The only site where none is named; its record lies where it lay before there were several. */
export const MAIN = 'main';

export interface NamedSite {
  readonly id: string;
  /** Undefined where no sites are named: the shop's own settings tell what it is called. */
  readonly name: string | undefined;
  /** Written down for it; the only one has those of the machine too. */
  readonly hosts: readonly string[];
}

export function sitesOf({ sites, hosts }: Pick<Settings, 'sites' | 'hosts'>): NamedSite[] {
  if (!sites) return [{ id: MAIN, name: undefined, hosts }];
  return Object.entries(sites).map(([id, site]: [string, Site]) => ({ id, ...site }));
}

/** Where a site keeps everything: a schema of its own in the database, or a folder of its own. */
export function placeOf({ data }: Pick<Settings, 'data'>, site: string, database: Database | undefined): Place {
  if (database) return { database, site };
  return { folder: site === MAIN ? data : join(data, 'sites', site) };
}

/** Sites that are kept where these are, and that nobody can open, for the settings do not name them. */
export async function unnamedSites(
  { data, ...settings }: Pick<Settings, 'data' | 'sites' | 'hosts'>,
  database: Database | undefined,
): Promise<string[]> {
  const named = sitesOf(settings).map(({ id }) => id);
  return (database ? await database.sites() : inFolders(data)).filter((id) => !named.includes(id));
}

function inFolders(data: string): string[] {
  const folder = join(data, 'sites');
  const below = existsSync(folder) ? readdirSync(folder) : [];
  const ids = below.filter((id) => existsSync(join(folder, id, RECORD)));
  return existsSync(join(data, RECORD)) ? [MAIN, ...ids] : ids;
}

/** Addresses come and go with the network, and a machine is asked for them at most this often. */
const ASKED_EVERY_MS = 5_000;

/** Names by which this machine calls itself and, on a network, by which others call it. */
export function ownNames({ network }: Pick<Settings, 'network'>, machine = machineNames): Names {
  let [known, at] = [new Set<string>(LOOPBACK), -Infinity];
  return {
    includes: (host) => {
      if (network && performance.now() - at > ASKED_EVERY_MS)
        [known, at] = [new Set([...LOOPBACK, ...machine()]), performance.now()];
      return known.has(host);
    },
  };
}

export type Fetch = (request: Request, env?: object) => Response | Promise<Response>;

export interface Served {
  readonly id: string;
  /** All it answers to. */
  readonly names: Names;
  readonly fetch: Fetch;
}

/**
 * Gives each call to the site whose name it was made to, and to no other. By its own names a server of several sites
 * tells only how it is; any name tells how to trust it.
 */
export function bySite(sites: readonly Served[], own: Names, trust: Fetch, health: () => object): Fetch {
  const nobodys = new Hono();
  nobodys.use(secureHeaders({ contentSecurityPolicy: { defaultSrc: ["'none'"] }, strictTransportSecurity: false }));
  nobodys.get('/api/health', (c) => {
    if (!own.includes(hostNameAsked(c))) throw nobody(c);
    c.header('cache-control', 'no-store');
    return c.json(health());
  });
  nobodys.all('*', (c) => {
    throw nobody(c);
  });
  nobodys.onError((error, c) => answerTo(error, c, () => undefined));
  return (request, env) => {
    const host = nameIn(request);
    const site = sites.find(({ names }) => names.includes(host));
    const isTrust = request.method === 'GET' && new URL(request.url).pathname.startsWith(TRUST);
    if (isTrust && (site || own.includes(host))) return trust(request, env);
    return (site?.fetch ?? nobodys.fetch)(request, env);
  };
}

function nobody(c: Context): No {
  return new No(403, `this server does not go by the name ${hostNameAsked(c)}`);
}

function nameIn(request: Request): string {
  const host = (request.headers.get('host') ?? new URL(request.url).host).toLowerCase();
  return host.replace(/:\d+$/, '').replace(/^\[(.*)\]$/, '$1');
}
