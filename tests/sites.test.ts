import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Answered, Door, Summaries } from '../src/job/exchange.ts';
import { DEFAULTS, type Settings } from '../src/server/config-settings.ts';
import { Guard } from '../src/server/guard.ts';
import { paramsOf, type Route } from '../src/server/route.ts';
import { routesOf } from '../src/server/routes.ts';
import { bySite, type Fetch, ownNames } from '../src/server/sites.ts';
import { databaseOf, type OpenSite, openSites } from '../src/server/sites-open.ts';
import { Servers } from '../src/server/servers.ts';
import { type Database, openShop } from '../src/store/open.ts';
import { noPostgres, type Postgres, startPostgres } from './postgres.ts';
import { rules } from './server.shop.ts';
import { headersOf, json, PIN, type SignedIn, signIn, signUp } from './signed-in.ts';

/** In every text of the south, and in nothing that the north sends. */
const MARK = 'zebra';
const SHARED = 'RO-100';
const ONLY_SOUTH = 'RO-200';
const DRAFT_SOUTH = 'RO-300';
/** The least that is a PNG to a server: what tells one from the other comes behind. */
const png = (text: string) => new Uint8Array(Buffer.from(`\x89PNG\r\n\x1a\n${text}`, 'latin1'));

/** Two sites of one server, without a port. */
class TwoSites {
  north!: SignedIn;
  south!: SignedIn;
  /** What the south has, by the names of parameters. */
  theirs!: { ro: string; id: string; hash: string; version: string };
  after!: string;
  private sent = 0;

  private constructor(
    readonly folder: string,
    readonly sites: readonly OpenSite[],
    private readonly fetch: Fetch,
    private readonly ends: (() => Promise<void>)[],
  ) {}

  static async open(url?: string): Promise<TwoSites> {
    const folder = mkdtempSync(join(tmpdir(), 'lastbolt-sites-'));
    mkdirSync(join(folder, 'page'));
    writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>page</title>');
    const settings: Settings = {
      ...DEFAULTS,
      data: join(folder, 'data'),
      sites: {
        north: { name: 'North', hosts: ['north.test', 'n.test'] },
        south: { name: 'South', hosts: ['south.test'] },
      },
      ...(url === undefined ? {} : { database: url }),
    };
    const database = await databaseOf(settings);
    await other(settings, database);
    const servers = database && new Servers(database);
    const own = ownNames(settings);
    const nothing = () => () => undefined;
    const sites = await openSites({
      settings,
      database,
      servers,
      rules,
      demo: undefined,
      page: join(folder, 'page'),
      now: () => new Date(),
      own,
      tell: nothing,
      appended: () => undefined,
    });
    const trust = () => new Response('trust');
    const ends = [
      async () => void (await Promise.all(sites.map(({ doors }) => doors.verified.then(() => doors.close())))),
      async () => servers?.close(),
      async () => database?.close(),
    ];
    const two = new TwoSites(
      folder,
      sites,
      bySite(sites, own, trust, () => ({ ok: true, flaws: 0 })),
      ends,
    );
    await two.fill();
    return two;
  }

  readonly at =
    (host: string) =>
    (path: string, init: RequestInit = {}): Response | Promise<Response> => {
      const headers = new Headers(init.headers);
      headers.set('host', host);
      return this.fetch(new Request(`http://server${path}`, { ...init, headers }));
    };
  readonly toNorth = this.at('north.test');
  readonly toSouth = this.at('south.test');

  site(id: string): OpenSite {
    const found = this.sites.find((one) => one.id === id);
    if (!found) throw new Error(`there is no site ${id}`);
    return found;
  }

  /** The same person, the same number; and in the south more, all of it marked. */
  private async fill(): Promise<void> {
    const code = (id: string) => this.site(id).firstCode ?? '';
    this.north = await signUp(this.toNorth, code('north'));
    this.south = await signUp(this.toSouth, code('south'));
    const settings = { name: `Shop ${MARK}`, alone: false, units: 'us', tools: null };
    await ok(this.toSouth('/api/shop', json(settings, headersOf(this.south), 'PUT')));
    const added = await ok(
      this.toSouth(
        '/api/people',
        json({ name: `Sixten ${MARK}`, roles: ['desk'], pin: '1357' }, headersOf(this.south)),
      ),
    );
    const photo = await ok(
      this.toSouth('/api/photos', {
        method: 'POST',
        headers: { ...headersOf(this.south), 'content-type': 'image/png' },
        body: png(MARK),
      }),
    );
    await this.say(this.toNorth, this.north, SHARED, `Northern car`);
    for (const ro of [SHARED, ONLY_SOUTH]) await this.say(this.toSouth, this.south, ro, `Car ${MARK}`);
    const draft = { ro: DRAFT_SOUTH, vehicle: { name: `Draft ${MARK}` }, work: [] };
    await ok(this.toSouth(`/api/jobs/${DRAFT_SOUTH}`, json(draft, headersOf(this.south), 'PUT')));
    const page = (await ok(this.toSouth('/api/records?limit=1', { headers: headersOf(this.south) }))) as Summaries;
    this.after = page.next ?? '';
    this.theirs = {
      ro: ONLY_SOUTH,
      id: (added as { id: string }).id,
      hash: (photo as { hash: string }).hash,
      version: OTHER,
    };
  }

  async say(send: Send, who: SignedIn, ro: string, name: string): Promise<Answered> {
    const by = who.session.person.name;
    const at = new Date().toISOString();
    const opened = { type: 'opened', id: `o${++this.sent}`, at, by, ro, rulebook: rules.version, units: 'metric' };
    const told = { type: 'vehicle-told', id: `v${++this.sent}`, at, by, vehicle: { name } };
    const commands = ro === 'again' ? [told] : [opened, told];
    return (await ok(send(`/api/records/${ro}`, json({ commands }, headersOf(who))))) as Answered;
  }

  /** All that the south keeps, as it stands. */
  async southern(): Promise<unknown> {
    const { log, people, drafts, settings, rulebooks } = this.site('south').doors;
    const jobs = await log.heads();
    return {
      jobs,
      records: await Promise.all(jobs.map(({ job }) => log.read(job))),
      people: await people.list(),
      drafts: await drafts.list(),
      settings: await settings.get(),
      photo: (await log.photo(this.theirs.hash))?.bytes?.length,
      other: (await rulebooks.bundle(OTHER))?.version,
    };
  }

  async close(): Promise<void> {
    for (const end of this.ends) await end();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

type Send = (path: string, init?: RequestInit) => Response | Promise<Response>;

/** A rulebook that was in force in the south and nowhere else. */
const OTHER = 'south-only';

async function other(settings: Settings, database: Database | undefined): Promise<void> {
  const { placeOf } = await import('../src/server/sites.ts');
  const place = placeOf(settings, 'south', database);
  const files = { ...rules.files, 'zebra.json': `{"${MARK}":1}` };
  const kept = await openShop(place, { version: OTHER, files }, { now: () => new Date('2026-11-01T09:00:00Z') });
  await kept.verified;
  await kept.close();
}

async function ok(answer: Response | Promise<Response>): Promise<unknown> {
  const body = (await (await answer).json()) as unknown;
  expect([(await answer).status, body]).toEqual([200, expect.anything()]);
  return body;
}

const named = ({ method, path }: Route) => `${method.toUpperCase()} ${path}`;

function isolation(open: () => Promise<TwoSites>): void {
  let two: TwoSites;
  let routes: readonly Route[];
  let before: unknown;

  beforeAll(async () => {
    two = await open();
    const { doors } = two.site('north');
    routes = routesOf(doors, new Guard(doors));
    before = await two.southern();
  }, 120_000);
  afterAll(async () => {
    // A test that set nothing up says so itself.
    await (two as TwoSites | undefined)?.close();
  });

  /** Of the south in all places where a call names something. */
  const bodyOf = ({ method, path }: Route): unknown => {
    const { theirs, south } = two;
    const at = new Date().toISOString();
    const command = {
      id: `x${path.length}`,
      at,
      by: south.session.person.name,
      type: 'vehicle-told',
      vehicle: { name: 'x' },
    };
    const bodies: Record<string, unknown> = {
      'POST /api/first': { code: 'ABCDEFGH', name: 'X', pin: PIN, shop: 'X' },
      'POST /api/session': { person: theirs.id, pin: '1357' },
      'POST /api/people': { name: 'Nordic', roles: ['desk'], pin: PIN },
      'PATCH /api/people/{id}': { pin: '9753' },
      'PUT /api/shop': { name: 'Shop of the north', alone: true, units: 'metric', tools: null },
      'PUT /api/jobs/{ro}': { ro: theirs.ro, work: [] },
      'POST /api/records/{ro}': { commands: [command] },
      'POST /api/here': { ro: theirs.ro, step: 'x' },
    };
    return bodies[`${method.toUpperCase()} ${path}`] ?? {};
  };

  async function call(route: Route, who: SignedIn, ro: string, send: Send = two.toNorth): Promise<Response> {
    const params: Record<string, string> = { ...two.theirs, ro };
    for (const name of paramsOf(route.path)) expect([named(route), name in params]).toEqual([named(route), true]);
    const path = route.path.replaceAll(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(params[name] ?? ''));
    const query = route.query && 'after' in route.query.shape ? `?after=${encodeURIComponent(two.after)}` : '';
    const bytes = route.body && 'types' in route.body;
    return send(path + query, {
      method: route.method.toUpperCase(),
      headers: {
        ...headersOf(who),
        ...(route.body ? { 'content-type': bytes ? 'image/png' : 'application/json' } : {}),
      },
      ...(route.body ? { body: bytes ? png('of the north') : JSON.stringify(bodyOf(route)) } : {}),
    });
  }

  test('the south tells its own of all that: else nothing could be missed in the north', async () => {
    const told: string[] = [];
    for (const route of routes.filter(({ path, method }) => method === 'get' && path !== '/api/live'))
      for (const ro of [ONLY_SOUTH, DRAFT_SOUTH])
        if ((await (await call(route, two.south, ro, two.toSouth)).text()).includes(MARK)) told.push(route.path);
    expect([...new Set(told)].sort()).toEqual([
      '/api/door',
      '/api/jobs',
      '/api/jobs/{ro}',
      '/api/people',
      '/api/photos/{hash}',
      '/api/records/{ro}',
      '/api/rules/{version}',
      '/api/shop',
    ]);
  });

  test('nothing of the south comes back from any route of the north, whatever of the south is named', async () => {
    const seen: [string, number][] = [];
    for (const ro of [ONLY_SOUTH, DRAFT_SOUTH, SHARED])
      for (const route of routes.filter(({ path, method }) => path !== '/api/live' && method !== 'delete')) {
        const answer = await call(route, two.north, ro);
        const text = await answer.text();
        expect([named(route), text.includes(MARK)]).toEqual([named(route), false]);
        expect([named(route), answer.status]).not.toEqual([named(route), 500]);
        seen.push([named(route), answer.status]);
      }
    expect(seen.length).toBeGreaterThan(50);
    const by = (name: string) => seen.filter(([one]) => one === name).map(([, status]) => status);
    expect(by('GET /api/records/{ro}')).toEqual([404, 404, 200]);
    expect(by('GET /api/photos/{hash}')).toEqual([404, 404, 404]);
    expect(by('PATCH /api/people/{id}')).toEqual([404, 404, 404]);
    expect(by('GET /api/rules/{version}')).toEqual([404, 404, 404]);
    expect(by('POST /api/session')).toEqual([401, 401, 401]);
    expect(by('GET /api/records')).toEqual([200, 200, 200]);
  });

  test('nothing in the south was changed by that, nor by what the north strikes off', async () => {
    for (const route of routes.filter(({ method, path }) => method === 'delete' && path !== '/api/session'))
      for (const ro of [ONLY_SOUTH, DRAFT_SOUTH, SHARED]) await call(route, two.north, ro);
    expect(await two.southern()).toEqual(before);
  });

  test('whoever is signed in in the south is nobody in the north, on every route', async () => {
    const guarded = routes.filter(({ who }) => who !== 'anyone');
    expect(guarded.length).toBeGreaterThan(15);
    for (const route of guarded) {
      const answer = await call(route, two.south, ONLY_SOUTH);
      expect([named(route), answer.status]).toEqual([named(route), 401]);
    }
    const door = (await (await two.toNorth('/api/door', { headers: headersOf(two.south) })).json()) as Door;
    expect([door.session, door.people.map(({ name }) => name)]).toEqual([null, ['Nordic', 'Ona Brandt']]);
    expect(JSON.stringify(door)).not.toContain(MARK);
  });

  test('the same number and the same name in both are two jobs and two people', async () => {
    const read = async (send: Send, who: SignedIn) =>
      JSON.stringify(await ok(send(`/api/records/${SHARED}`, { headers: headersOf(who) })));
    const [north, south] = [await read(two.toNorth, two.north), await read(two.toSouth, two.south)];
    expect([north.includes('Northern car'), south.includes(MARK), north.includes(MARK)]).toEqual([true, true, false]);
    const boss = await two.site('north').doors.people.add({ name: 'Boss', roles: ['foreman'], pin: PIN });
    const other = await signIn(two.toNorth, boss.id);
    await ok(
      two.toNorth(`/api/people/${two.north.session.person.id}`, json({ pin: '9999' }, headersOf(other), 'PATCH')),
    );
    expect((await two.toNorth('/api/session', { headers: headersOf(two.north) })).status).toBe(401);
    expect((await two.toSouth('/api/session', { headers: headersOf(two.south) })).status).toBe(200);
    two.north = await signIn(two.toNorth, two.north.session.person.id, '9999');
    await signIn(two.toSouth, two.south.session.person.id);
  });

  test('a stream of the north hears what the north says, and nothing of the south', async () => {
    const stop = new AbortController();
    const stream = await two.toNorth('/api/live', { headers: headersOf(two.north), signal: stop.signal });
    expect(stream.status).toBe(200);
    const reader = (stream.body as ReadableStream<Uint8Array>).getReader();
    const text = new TextDecoder();
    let heard = '';
    const until = async (what: string) => {
      while (!heard.includes(what)) {
        const { value, done } = await reader.read();
        if (done) throw new Error(`the stream ended with ${heard}`);
        heard += text.decode(value, { stream: true });
      }
    };
    await until(': listening');
    await two.say(two.toSouth, two.south, 'RO-201', `Other ${MARK}`);
    await ok(two.toSouth('/api/here', json({ ro: ONLY_SOUTH, step: 'x' }, headersOf(two.south))));
    await two.say(two.toNorth, two.north, 'RO-101', 'Last');
    await until('RO-101');
    expect(heard).not.toMatch(/RO-2|zebra/);
    await reader.cancel();
    stop.abort();
  });

  test('of any site answers only to its own names; by those of the machine there is only how the server is', async () => {
    const status = async (host: string, path: string) => (await two.at(host)(path)).status;
    expect(await status('n.test', '/api/door')).toBe(200);
    expect(await status('N.TEST:8443', '/api/door')).toBe(200);
    for (const host of ['localhost', '127.0.0.1', '[::1]:80'])
      expect([await status(host, '/api/health'), await status(host, '/api/door'), await status(host, '/')]).toEqual([
        200, 403, 403,
      ]);
    for (const host of ['evil.example', 'north.test.evil.example', 'x.north.test', ''])
      for (const path of ['/api/health', '/api/door', '/', '/trust'])
        expect([host, path, await status(host, path)]).toEqual([host, path, 403]);
    const text = await (await two.at('evil.example')('/api/door')).text();
    expect(text).toBe('{"error":"this server does not go by the name evil.example"}');
    expect([await status('north.test', '/trust'), await status('localhost', '/trust')]).toEqual([200, 200]);
  });

  test('a page of one site changes nothing in the other', async () => {
    for (const origin of ['http://south.test', 'http://localhost']) {
      const change = json({ pin: PIN }, { ...headersOf(two.north), origin }, 'PATCH');
      expect((await two.toNorth(`/api/people/x`, change)).status).toBe(403);
    }
  });
}

describe('two sites in folders', () => {
  isolation(() => TwoSites.open());

  test('each have a record of their own, and none lies where the only one would', async () => {
    const two = await TwoSites.open();
    const at = (path: string) => existsSync(join(two.folder, 'data', path));
    expect([at('sites/north/record.db'), at('sites/south/record.db'), at('record.db')]).toEqual([true, true, false]);
    await two.close();
  });
});

describe.skipIf(noPostgres)('two sites in PostgreSQL', () => {
  let postgres: Postgres;
  beforeAll(async () => {
    postgres = await startPostgres();
  }, 120_000);
  afterAll(async () => {
    await postgres.stop();
  });
  isolation(() => TwoSites.open(postgres.url));
});
