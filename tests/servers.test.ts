import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Live } from '../src/job/exchange.ts';
import { Hub, type Listener } from '../src/server/hub.ts';
import { Servers } from '../src/server/servers.ts';
import { type Database, openDatabase, openShop } from '../src/store/open.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import type { RuleBundle } from '../src/store/shop/rulebooks.ts';
import { freshSite, meddle, noPostgres, type Postgres, startPostgres } from './postgres.ts';
import { rules, TestShop } from './server.shop.ts';
import { headersOf, PIN, signIn } from './signed-in.ts';

/** A tablet at a hub, and what it was told. */
class Tablet implements Listener {
  readonly heard: Live[] = [];
  ended = false;
  constructor(
    readonly session: string,
    private readonly hub: Hub,
  ) {
    hub.join(this);
  }
  hear(message: Live): void {
    // What only tries the line may still be on its way.
    const probing = message.type === 'draft' && message.ro.startsWith('probe');
    if (!probing || this.session === 'probe') this.heard.push(message);
  }
  end(): void {
    this.ended = true;
    this.hub.leave(this);
  }
}

const draft = (ro: string): Live => ({ type: 'draft', ro });
const hands = (person: string, step: string): Live => ({ type: 'here', ro: '1', step, person, gone: step === '' });

describe('hands on one server', () => {
  afterEach(() => void vi.useRealTimers());

  test('a tablet that comes later is told where everybody is', () => {
    const hub = new Hub();
    hub.tell(hands('Ana', 'camera-aim'), 's1');
    hub.tell(hands('Bo', 'bleed'), 's2');
    hub.tell(hands('Bo', ''), 's2');
    expect(new Tablet('s3', hub).heard).toEqual([hands('Ana', 'camera-aim')]);
  });

  test('are gone when their tablet does not come back, and not when it does', () => {
    vi.useFakeTimers();
    const hub = new Hub();
    const other = new Tablet('s2', hub);
    const tablet = new Tablet('s1', hub);
    hub.tell(hands('Ana', 'camera-aim'), 's1');
    tablet.end();
    vi.advanceTimersByTime(29_000);
    const back = new Tablet('s1', hub);
    vi.advanceTimersByTime(60_000);
    expect(other.heard).toEqual([hands('Ana', 'camera-aim')]);
    back.end();
    vi.advanceTimersByTime(31_000);
    expect(other.heard.at(-1)).toEqual(hands('Ana', ''));
  });

  test('are gone at once when the session ends', () => {
    const hub = new Hub();
    const other = new Tablet('s2', hub);
    const tablet = new Tablet('s1', hub);
    hub.tell(hands('Ana', 'camera-aim'), 's1');
    hub.endSession('s1');
    expect([tablet.ended, other.ended, other.heard.at(-1)]).toEqual([true, false, hands('Ana', '')]);
  });
});

describe.skipIf(noPostgres)('several servers on one database', () => {
  const beat = { every: 100, dead: 1_000 };
  let postgres: Postgres;
  let databases: Database[];
  let servers: Servers[];
  let north: Hub[];
  beforeAll(async () => {
    postgres = await startPostgres();
  }, 60_000);
  afterAll(async () => {
    await postgres?.stop();
  });
  beforeEach(async () => {
    databases = [await openDatabase(postgres.url), await openDatabase(postgres.url)];
    servers = databases.map((database) => new Servers(database, beat));
    north = servers.map((one) => new Hub(one.site('north')));
    await vi.waitUntil(() => knows(north, 'probe a'), 10_000);
  });
  afterEach(async () => {
    for (const hub of north) hub.endAll();
    for (const one of servers) await one.close();
    for (const one of databases) await one.close();
  });

  /** Whether a word of each comes to all others. */
  async function knows(hubs: readonly Hub[], mark: string): Promise<boolean> {
    const tablets = hubs.map((hub) => new Tablet('probe', hub));
    hubs.forEach((hub, i) => hub.tell(draft(`${mark}${i}`)));
    await pause(50);
    for (const tablet of tablets) tablet.end();
    return tablets.every(({ heard }) =>
      hubs.every((_, i) => heard.some((one) => 'ro' in one && one.ro === `${mark}${i}`)),
    );
  }

  test('a word reaches each tablet of the site once, on whichever server, and no other site', async () => {
    const south = servers.map((one) => new Hub(one.site('south')));
    const there = north.map((hub) => new Tablet('s', hub));
    const elsewhere = south.map((hub) => new Tablet('s', hub));
    north[0]?.tell(draft('a'));
    expect(there[0]?.heard).toEqual([draft('a')]);
    north[1]?.tell(draft('b'));
    await vi.waitUntil(() => there.every(({ heard }) => heard.length >= 2), 5_000);
    await pause(200);
    expect(
      there.map(({ heard }) => heard.map((one) => ('ro' in one ? one.ro : '')).toSorted((a, b) => (a < b ? -1 : 1))),
    ).toEqual([
      ['a', 'b'],
      ['a', 'b'],
    ]);
    expect(elsewhere.map(({ heard }) => heard)).toEqual([[], []]);
    for (const hub of south) hub.endAll();
  });

  test('a session that ends on one ends on the other', async () => {
    const [ana, bo] = [new Tablet('ana', north[1] as Hub), new Tablet('bo', north[1] as Hub)];
    north[0]?.endSession('ana');
    await vi.waitUntil(() => ana.ended, 5_000);
    expect(bo.ended).toBe(false);
  });

  test('hands are known on both, by a server that comes later too, and lapse with the server that was told', async () => {
    const tablet = new Tablet('s', north[1] as Hub);
    north[0]?.tell(hands('Ana', 'camera-aim'), 'ana');
    north[1]?.tell(hands('Bo', 'bleed'), 'bo');
    const database = await openDatabase(postgres.url);
    const late = new Servers(database, beat);
    const hub = new Hub(late.site('north'));
    const persons = () => new Tablet('look', hub).heard.map((one) => (one.type === 'here' ? one.person : ''));
    await vi.waitUntil(() => persons().length === 2, 5_000);
    expect(persons().sort()).toEqual(['Ana', 'Bo']);
    // As a machine that lost its power: no word more.
    const [first] = databases.splice(0, 1);
    servers.splice(0, 1);
    await first?.close();
    await vi.waitUntil(() => persons().length === 1, 10_000);
    expect(persons()).toEqual(['Bo']);
    // It may have kept something and not come to say so.
    await vi.waitUntil(() => tablet.heard.some(({ type }) => type === 'anew'), 10_000);
    expect(tablet.heard).toContainEqual(hands('Ana', ''));
    hub.endAll();
    await late.close();
    await database.close();
  });

  test('a server that stops in order takes its hands with it, and nobody has to look again', async () => {
    const tablet = new Tablet('s', north[1] as Hub);
    north[0]?.tell(hands('Ana', 'camera-aim'), 'ana');
    await vi.waitUntil(() => tablet.heard.length > 0, 5_000);
    await servers.shift()?.close();
    await vi.waitUntil(() => tablet.heard.length > 1, 5_000);
    expect(tablet.heard).toEqual([hands('Ana', 'camera-aim'), hands('Ana', '')]);
  });

  test('a broken line is mended by itself, and its tablets look again; so do those that were to hear what was not said', async () => {
    const tablets = north.map((hub) => new Tablet('s', hub));
    const cut = () =>
      meddle(
        postgres.url,
        `select pg_terminate_backend(pid) from pg_stat_activity 
         where pid <> pg_backend_pid() and (query ilike '%pg_notify%' or query ilike 'listen %')`,
      );
    await cut();
    // Said into a line that is not there.
    north[0]?.tell(draft('lost'));
    await vi.waitUntil(() => tablets.every(({ heard }) => heard.some(({ type }) => type === 'anew')), 15_000);
    await vi.waitUntil(() => knows(north, 'probe b'), 15_000);
  }, 40_000);

  test('what others say on the same channel is no word of ours; what is not understood is looked at', async () => {
    const tablet = new Tablet('s', north[0] as Hub);
    await meddle(
      postgres.url,
      `select pg_notify('lastbolt', 'x'), pg_notify('lastbolt', '{"from":1}'), pg_notify('lastbolt', '[]')`,
    );
    const newer = JSON.stringify({ from: 'newer', site: 'north', message: { type: 'later', what: 1 } });
    await meddle(postgres.url, `select pg_notify('lastbolt', $1)`, [newer]);
    await vi.waitUntil(() => tablet.heard.length > 0, 5_000);
    expect(tablet.heard).toEqual([{ type: 'anew' }]);
  });

  test('a word too long for the line ends in another look', async () => {
    const tablet = new Tablet('s', north[1] as Hub);
    north[0]?.tell(hands('A'.repeat(9_000), 'camera-aim'));
    await vi.waitUntil(() => tablet.heard.length > 0, 5_000);
    expect(tablet.heard).toEqual([{ type: 'anew' }]);
  });

  /** A server on the database without a port, with rules of its own. */
  async function shop(n: number, site: string, bundle: RuleBundle, at: Date): Promise<TestShop> {
    const kept = await openShop({ database: databases[n] as Database, site }, bundle, { now: () => at });
    await kept.verified;
    return TestShop.open({ ...kept, at, hub: new Hub(servers[n]?.site(site)) });
  }

  /** The same rules with one more file. */
  function newer(): RuleBundle {
    const files = { ...rules.files, 'tyres/zz.json': rules.files['tyres/wheel-bolt-torque.json'] as string };
    return { version: loadRulebook(new Map(Object.entries(files))).rulebook.version, files };
  }

  test('while they are brought up to date one by one, what was planned with either rulebook is taken by both', async () => {
    const site = freshSite();
    const at = new Date('2026-11-25T09:00:00Z');
    const [old, next] = [
      await shop(0, site, rules, at),
      await shop(1, site, newer(), new Date('2026-11-25T09:01:00Z')),
    ];
    const desk = await old.person('Desk', 'desk', 'foreman');
    // The session of one is known on the other.
    const open = (where: TestShop, ro: string, rulebook: string) =>
      where.said(desk, ro, { ...where.opened(ro), rulebook }).then(({ outcomes }) => outcomes.map(({ is }) => is));
    const both = [rules.version, newer().version];
    for (const [i, where] of [old, next].entries())
      for (const [j, version] of both.entries()) expect(await open(where, `${i}-${j}`, version)).toEqual(['taken']);
    expect(await open(old, 'x', '0123456789abcdef')).toEqual(['refused']);
    // The last server with the old one is long gone.
    next.later(10);
    await next.doors.rulebooks.say(next.now);
    expect(await open(next, '2', rules.version)).toEqual(['refused']);
    expect(await open(next, '2', newer().version)).toEqual(['taken']);
    for (const one of [old, next]) await one.close();
  });

  test('a person, a setting and a session changed on one are changed on the other at the next call', async () => {
    const site = freshSite();
    const at = new Date('2026-11-25T09:00:00Z');
    const [one, other] = [await shop(0, site, rules, at), await shop(1, site, rules, at)];
    const ana = await one.person('Ana', 'foreman');
    const asks = async (path: string) => (await other.send(path, { headers: headersOf(ana) })).status;
    expect([await asks('/api/people'), (await other.doors.settings.get()).shop['lock-minutes']]).toEqual([200, 10]);
    await one.doors.settings.put({ ...(await one.doors.settings.get()).shop, 'lock-minutes': 3 });
    expect((await other.doors.settings.get()).shop['lock-minutes']).toBe(3);
    // A touch is known soon enough that nobody is locked out early.
    one.later(2.9);
    other.later(2.9);
    await one.send('/api/session', { method: 'PUT', headers: headersOf(ana) });
    other.later(2.9);
    expect(await asks('/api/people')).toBe(200);
    await one.send('/api/session', { method: 'DELETE', headers: headersOf(ana) });
    expect(await asks('/api/people')).toBe(401);
    const again = await signIn(other.send, ana.session.person.id, PIN);
    expect((await one.send('/api/people', { headers: headersOf(again) })).status).toBe(200);
    for (const each of [one, other]) await each.close();
  });
});
