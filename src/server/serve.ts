import { existsSync } from 'node:fs';
import type { Server } from 'node:https';
import { fileURLToPath } from 'node:url';
import type { ServerType } from '@hono/node-server';
import type { Database } from '../store/open.ts';
import { CannotServe } from './cannot-serve.ts';
import { DEFAULTS, type Settings } from './config-settings.ts';
import type { Names } from './doors.ts';
import { openLogOut } from './logfile.ts';
import { type Metrics, openMetrics } from './metrics.ts';
import { closeServer, isSecure, likeliest, listen, portOf, urlOf } from './ports.ts';
import { readRules } from './rule-files.ts';
import { Servers } from './servers.ts';
import { bySite, ownNames, sitesOf, unnamedSites } from './sites.ts';
import { databaseOf, type OpenSite, openSites } from './sites-open.ts';
import { type Certificate, certificateOf, keepCertificate } from './tls/certificate.ts';
import { inAddress, machineNames } from './tls/names.ts';
import { type Trusted, trustPages, trustPort } from './trust.ts';

/** Both are two folders above this file, in the sources as in what is built from them. */
const top = new URL('../../', import.meta.url);
const PAGE = fileURLToPath(new URL('dist/app', top));
const RULES = fileURLToPath(new URL('rules', top));

export interface ServeOptions extends Partial<Settings> {
  /** Puts an invented shop in, once, where there is nothing yet: into the only site, or the one that is named. */
  readonly demo?: boolean | string;
  /** Folder of the built page. */
  readonly page?: string;
  /** Takes one line of the log; left out, it goes where the settings say. */
  readonly tell?: (line: object) => void;
}

export interface Running {
  /** On this machine; of a server of several sites it tells no more than how it is. */
  readonly url: string;
  readonly sites: readonly RunningSite[];
  /** That of the first site in which nobody works yet. */
  readonly firstCode: string | undefined;
  /** What is wrong with the records, as sentences. */
  readonly flaws: readonly string[];
  /** All of `flaws` are known. */
  readonly verified: Promise<void>;
  /** SHA-256 of the authority that was made here, and the page that tells how to trust it. */
  readonly trust: { readonly fingerprint: string; readonly url: string } | undefined;
  /** What whoever runs it ought to know, as sentences. */
  readonly warnings: readonly string[];
  /** Ends live streams, lets open calls finish, then closes the databases. */
  close(): Promise<void>;
  /** The log goes into a new file of its name. */
  reopenLog(): void;
}

export interface RunningSite {
  readonly id: string;
  readonly name: string | undefined;
  /** Where it is opened, the likeliest first. */
  readonly urls: readonly string[];
  /** To be shown to whoever started it: nobody works here yet. */
  readonly firstCode: string | undefined;
}

/**
 * Serves all sites: on this machine, or on the network with TLS. Throws CannotServe if a port is taken, the page not
 * built, the rules unsound, a record or the database not to be opened, or a certificate not to be used.
 */
export async function startServer({ demo = false, page = PAGE, tell, ...told }: ServeOptions): Promise<Running> {
  const settings: Settings = { ...DEFAULTS, ...told };
  if (!existsSync(`${page}/index.html`))
    throw new CannotServe(`the page is not built: ${page} has no index.html; run \`npm run build\``);
  /** What was begun, to be ended from the last to the first. */
  const ends: End[] = [];
  try {
    const out = openLogOut(settings.log);
    ends.push(() => out.close());
    const behind = await openBehind({ settings, demo, page, tell: tell ?? out.tell, ends });
    const front = await openFront(settings, behind, ends);
    const { sites, certificate, database } = behind;
    const unnamed = (await unnamedSites(settings, database)).map(
      (id) => `site ${id} is kept here too, and nobody can open it: the settings do not name it`,
    );
    return {
      ...shown(sites, settings, front.port),
      get flaws() {
        return sites.flatMap(({ doors }) => doors.flaws.map((flaw) => flaw.says));
      },
      verified: Promise.all(sites.map(({ doors }) => doors.verified)).then(() => undefined),
      trust: certificate?.made && { fingerprint: certificate.made.fingerprint, url: front.trustUrl },
      warnings: [...(certificate?.warnings ?? []), ...(database?.doubts ?? []), ...unnamed],
      close: () => endAll(ends),
      reopenLog: () => out.reopen(),
    };
  } catch (error) {
    await endAll(ends);
    throw error;
  }
}

type End = () => void | Promise<void>;

interface Behind {
  readonly sites: readonly OpenSite[];
  readonly certificate: Certificate | undefined;
  readonly database: Database | undefined;
  readonly metrics: Metrics | undefined;
  readonly own: Names;
  readonly tell: (line: object) => void;
}

/** Everything that is there before a port is opened. */
async function openBehind(told: {
  settings: Settings;
  demo: boolean | string;
  page: string;
  tell: Behind['tell'];
  ends: End[];
}): Promise<Behind> {
  const { settings, tell, ends } = told;
  const rules = readRules(RULES);
  const certificate = isSecure(settings) ? await certificateOf(settings, now()) : undefined;
  const metrics = await openMetrics(settings.metrics, { rules: rules.version, now });
  if (metrics) ends.push(() => metrics.close());
  const database = await databaseOf(settings);
  if (database) ends.push(() => database.close());
  const servers = database && new Servers(database);
  if (servers) ends.push(() => servers.close());
  const own = ownNames(settings);
  const named = (site: string) => (settings.sites ? (line: object) => tell({ ...line, site }) : tell);
  const sites = await openSites({
    settings,
    database,
    servers,
    rules,
    demo: told.demo === true ? sitesOf(settings)[0]?.id : told.demo || undefined,
    page: told.page,
    now,
    own,
    tell: (site) => metrics?.counting(site, named(site)) ?? named(site),
    appended: (site) => metrics?.appended(site),
  });
  ends.push(async () => void (await Promise.all(sites.map(({ doors }) => doors.close()))));
  for (const { id, doors } of sites) metrics?.watch(id, doors);
  return { sites, certificate, database, metrics, own, tell };
}

/** Opens the ports. */
async function openFront(
  settings: Settings,
  { sites, certificate, metrics, own, tell }: Behind,
  ends: End[],
): Promise<{ readonly port: number; readonly trustUrl: string }> {
  let port = settings.port;
  const trusted: Trusted = { made: certificate?.made, secure: isSecure(settings), port: () => port };
  const chosen = bySite(sites, own, trustPages(trusted).fetch, () => healthOf(sites));
  const server = await listen(metrics?.through(chosen) ?? chosen, settings, certificate);
  ends.push(() => endServing(server, sites));
  port = portOf(server);
  if (certificate) {
    const kept = keepCertificate(server as Server, certificate, settings, { now, tell });
    ends.push(() => kept.end());
  }
  const asked = settings['trust-port'];
  if (asked === undefined) return { port, trustUrl: `${urlOf(settings, likeliest(settings), port)}trust` };
  const all = { includes: (host: string) => own.includes(host) || sites.some(({ names }) => names.includes(host)) };
  const beside = await listen(trustPort(trusted, all).fetch, { ...settings, port: asked });
  ends.push(() => closeServer(beside));
  return { port, trustUrl: `http://${inAddress(likeliest(settings))}:${portOf(beside)}/trust` };
}

const now = () => new Date();

/** Lets no new call in, ends streams, and waits for what has begun. */
async function endServing(server: ServerType, sites: readonly OpenSite[]): Promise<void> {
  for (const { doors } of sites) doors.hub.endAll();
  await closeServer(server, Promise.all(sites.map(({ doors }) => doors.calls.end())));
}

/** Ends all, whatever comes of each; throws the first of what went wrong. */
async function endAll(ends: End[]): Promise<void> {
  const wrong: unknown[] = [];
  for (let end = ends.pop(); end; end = ends.pop())
    try {
      await end();
    } catch (error) {
      wrong.push(error);
    }
  if (wrong.length > 0) throw wrong[0];
}

function healthOf(sites: readonly OpenSite[]): object {
  const flaws = sites.reduce((sum, { doors }) => sum + doors.flaws.length, 0);
  return { ok: true, rules: sites[0]?.doors.rulebooks.inForce.version, flaws };
}

function shown(
  sites: readonly OpenSite[],
  settings: Settings,
  port: number,
): Pick<Running, 'url' | 'sites' | 'firstCode'> {
  return {
    url: urlOf(settings, '127.0.0.1', port),
    sites: sites.map(({ id, name, hosts, firstCode }) => {
      const machine = settings.network ? machineNames() : ['127.0.0.1'];
      const names = hosts.length > 0 ? hosts : machine;
      return { id, name, firstCode, urls: names.map((host) => urlOf(settings, host, port)) };
    }),
    firstCode: sites.find(({ firstCode }) => firstCode !== undefined)?.firstCode,
  };
}
