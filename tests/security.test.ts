import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { type Command, COMMANDS, type CommandType, type Saying } from '../src/job/commands.ts';
import type { Door, Served } from '../src/job/exchange.ts';
import { MAY_SAY, type Role, ROLES } from '../src/job/people.ts';
import { Guard } from '../src/server/guard.ts';
import { changes, type Route } from '../src/server/route.ts';
import { routesOf } from '../src/server/routes.ts';
import { waitAfter } from '../src/store/shop/people.ts';
import { rules, TestShop, type Told } from './server.shop.ts';
import { headersOf, json, PIN, type SignedIn, signIn } from './signed-in.ts';

let shop: TestShop;
let people: Record<Role, SignedIn>;
let routes: readonly Route[];

beforeAll(async () => {
  const many = { calls: 1e6, seconds: 1 };
  shop = await TestShop.open({ limits: { address: many, door: many, person: many } });
  const each = await Promise.all(ROLES.map(async (role) => [role, await shop.person(`The ${role}`, role)] as const));
  people = Object.fromEntries(each) as Record<Role, SignedIn>;
  routes = routesOf(shop.doors, new Guard(shop.doors));
});

afterAll(async () => {
  await shop.close();
});

const filled = ({ path }: Route) =>
  path
    .replace('{hash}', 'ab'.repeat(32))
    .replace('{ro}', '48213')
    .replace('{version}', '0123')
    .replace('{id}', 'somebody');

async function call(route: Route, headers: Record<string, string>, body?: BodyInit): Promise<Response> {
  const type = route.body && 'types' in route.body ? (route.body.types[0] as string) : 'application/json';
  const sent = route.body ? { body: body ?? '{}' } : {};
  return shop.send(filled(route), {
    method: route.method.toUpperCase(),
    headers: { ...(route.body ? { 'content-type': type } : {}), ...headers },
    ...sent,
  });
}

const named = (route: Route) => `${route.method.toUpperCase()} ${route.path}`;

/** Of every route that a condition picks; fails if it picks none. */
async function eachRoute(pick: (route: Route) => boolean, check: (route: Route) => Promise<void>): Promise<void> {
  const picked = routes.filter(pick);
  expect(picked.length).toBeGreaterThan(0);
  for (const route of picked) await check(route);
}

const guarded = (route: Route) => route.who !== 'anyone';

async function refused(answer: Response, status: number, route: Route): Promise<string> {
  const body = (await answer.json()) as { error?: string };
  expect([named(route), answer.status, typeof body.error]).toEqual([named(route), status, 'string']);
  return body.error ?? '';
}

describe('whoever is not signed in', () => {
  test('finds open what a page needs before that, and nothing else', () => {
    expect(routes.filter(({ who }) => who === 'anyone').map(named)).toEqual([
      'GET /api/health',
      'GET /api/rules',
      'GET /api/rules/{version}',
      'GET /api/door',
      'POST /api/first',
      'POST /api/session',
    ]);
  });

  test.each([
    ['without a cookie', {}],
    ['with an empty one', { cookie: 'lastbolt=' }],
    ['with one that was made up', { cookie: `lastbolt=${'A'.repeat(43)}` }],
    ['with a very long one', { cookie: `lastbolt=${'A'.repeat(5000)}` }],
    ['with SQL for a cookie', { cookie: "lastbolt=' or 1=1 --" }],
  ] as [string, Record<string, string>][])('is turned away everywhere %s', async (_, headers) => {
    await eachRoute(guarded, async (route) => {
      expect(await refused(await call(route, { ...headers, 'x-token': 'x' }), 401, route)).toMatch(/sign in/);
    });
  });

  test('learns no more of the people than the door shows, and who is gone is not on it', async () => {
    const { id } = await shop.doors.people.add({ name: 'Gone Before', roles: ['desk'], pin: PIN });
    await shop.doors.people.change(id, { gone: true });
    const door = (await (await shop.send('/api/door')).json()) as Door;
    expect(door.people.map(({ name }) => name)).not.toContain('Gone Before');
    expect(JSON.stringify(door)).not.toMatch(/scrypt|wrong|locked/);
    const answers = await Promise.all(
      [id, 'nobody-of-this-name', people.desk.session.person.id].map(async (person) => {
        const answer = await shop.send('/api/session', json({ person, pin: '9999' }));
        return [answer.status, await answer.json()];
      }),
    );
    expect(new Set(answers.map((one) => JSON.stringify(one))).size).toBe(1);
    await signIn(shop.send, people.desk.session.person.id);
  });
});

describe('a change', () => {
  const foreign: [string, (who: SignedIn) => Record<string, string>][] = [
    ['without the token', ({ cookie }) => ({ cookie })],
    ['with an empty token', ({ cookie }) => ({ cookie, 'x-token': '' })],
    ["with another's token", ({ cookie }) => ({ cookie, 'x-token': people.keeper.token })],
    ['from a page elsewhere', (who) => ({ ...headersOf(who), origin: 'https://elsewhere.example' })],
    ['from a page on another port', (who) => ({ ...headersOf(who), origin: 'http://localhost:8080' })],
    ['from a page without an address', (who) => ({ ...headersOf(who), origin: 'null' })],
    ['that a browser calls cross-site', (who) => ({ ...headersOf(who), 'sec-fetch-site': 'cross-site' })],
    ['that a browser calls same-site', (who) => ({ ...headersOf(who), 'sec-fetch-site': 'same-site' })],
  ];
  test.each(foreign)('%s is refused on every route', async (_, headers) => {
    await eachRoute(
      (route) => guarded(route) && changes(route),
      async (route) => void (await refused(await call(route, headers(people.foreman)), 403, route)),
    );
  });

  test('of who is signed in is refused from elsewhere too where no session is needed', async () => {
    await eachRoute(
      (route) => !guarded(route) && changes(route),
      async (route) => void (await refused(await call(route, { origin: 'https://elsewhere.example' }), 403, route)),
    );
  });

  test('is refused where the role does not allow it, on every route that asks for one', async () => {
    await eachRoute(
      ({ who }) => typeof who !== 'string',
      async (route) => {
        const unfit = ROLES.filter((role) => !route.who.includes(role));
        expect(unfit.length).toBeGreaterThan(0);
        for (const role of unfit)
          expect(await refused(await call(route, headersOf(people[role])), 403, route)).toMatch(/this is for a/);
      },
    );
  });

  test('of somebody else’s name, roles or PIN is a foreman’s', async () => {
    const { id } = people.technician.session.person;
    for (const body of [{ name: 'X' }, { roles: ['foreman'] }, { pin: '0000' }, { gone: true }])
      for (const who of [people.desk, people.keeper]) {
        const answer = await shop.send(`/api/people/${id}`, json(body, headersOf(who), 'PATCH'));
        expect([body, answer.status]).toEqual([body, 403]);
      }
    // Nobody makes themselves foreman, not even beside a new PIN.
    const own = json({ pin: '1357', roles: ['foreman'] }, headersOf(people.technician), 'PATCH');
    expect((await shop.send(`/api/people/${id}`, own)).status).toBe(403);
  });

  test('that leaves no foreman is refused', async () => {
    const { id } = people.foreman.session.person;
    for (const body of [{ gone: true }, { roles: ['technician'] }]) {
      const answer = await shop.send(`/api/people/${id}`, json(body, headersOf(people.foreman), 'PATCH'));
      expect([answer.status, await answer.json()]).toEqual([
        422,
        { error: 'The foreman is the last foreman here: make somebody else foreman first' },
      ]);
    }
  });
});

/** One of each, made from its shape; what it says does not matter, only whose word it needs. */
const SAID = Object.fromEntries(
  Object.entries(COMMANDS).map(([type, shape]) => {
    const { id: _id, at: _at, by: _by, ...saying } = sample(z.toJSONSchema(shape, { io: 'input' }) as Shape) as Command;
    return [type, { ...saying, ...('rulebook' in saying ? { rulebook: rules.version } : {}) } as Saying];
  }),
) as { readonly [T in CommandType]: Saying };

describe('a word on a job', () => {
  test.each(ROLES)('is taken from a %s for what that role may say, and for nothing else', async (role) => {
    const ro = `said-by-${role}`;
    await shop.said(people.foreman, ro, shop.opened(ro));
    for (const [type, saying] of Object.entries(SAID)) {
      const { outcomes } = await shop.said(people[role], ro, 'ro' in saying ? { ...saying, ro } : saying);
      const text = outcomes.map((one) => ('refused' in one ? one.refused.join(' ') : '')).join(' ');
      const may = MAY_SAY[type as CommandType].includes(role);
      expect([type, / is said by a /.test(text)]).toEqual([type, !may]);
    }
    const { events } = (await (await shop.send(`/api/records/${ro}`, { headers: headersOf(people[role]) })).json()) as {
      events: { type: CommandType; by: string }[];
    };
    for (const { type, by } of events.slice(1))
      expect([type, by, MAY_SAY[type]]).toEqual([type, `The ${role}`, expect.arrayContaining([role])]);
  });

  test('is that of whoever is signed in, whatever name it bears', async () => {
    await shop.said(people.desk, 'by', shop.opened('by'));
    const { outcomes, record } = await shop.said(
      people.desk,
      'by',
      { type: 'vehicle-told', vehicle: { modelYear: 2019 }, by: 'Nobody Here' },
      { type: 'work-done', by: 'the FOREMAN' },
    );
    expect(record?.events.at(-1)).toMatchObject({ type: 'vehicle-told', by: 'The desk' });
    expect(outcomes[1]).toMatchObject({
      is: 'refused',
      refused: ['This was said by The foreman, and The desk is signed in: The foreman signs in to send it.'],
    });
  });

  test('that signs for a foreman is the signed-in foreman’s own', async () => {
    await shop.said(people.desk, 'sign', shop.opened('sign'));
    const { outcomes } = await shop.said(people.foreman, 'sign', {
      type: 'left-unfinished',
      foreman: 'Other Foreman',
      customer: 'c',
      lines: [],
    });
    expect(outcomes).toMatchObject([{ refused: [expect.stringMatching(/^Other Foreman does not sign here/)] }]);
  });
});

describe('a session', () => {
  test('is new at every sign-in: one that was put under somebody is not taken, the one before is over', async () => {
    const planted = `lastbolt=${'B'.repeat(43)}`;
    const { id } = people.desk.session.person;
    const first = await shop.send('/api/session', json({ person: id, pin: PIN }, { cookie: planted }));
    const set = first.headers.get('set-cookie') ?? '';
    expect(set).not.toContain('B'.repeat(43));
    expect(set).toMatch(/; Path=\/api/);
    expect(set).toMatch(/; HttpOnly/);
    expect(set).toMatch(/; SameSite=Strict/);
    const cookie = set.split(';')[0] as string;
    const second = await shop.send('/api/session', json({ person: id, pin: PIN }, { cookie }));
    expect(second.headers.get('set-cookie')?.split(';')[0]).not.toBe(cookie);
    expect((await shop.send('/api/session', { headers: { cookie } })).status).toBe(401);
    expect((await shop.send('/api/session', { headers: { cookie: planted } })).status).toBe(401);
  });

  test('travels on TLS only where the server has it', async () => {
    const safe = await TestShop.open({ secure: true });
    const { id } = await safe.doors.people.add({ name: 'A', roles: ['desk'], pin: PIN });
    const answer = await safe.send('/api/session', json({ person: id, pin: PIN }));
    expect(answer.headers.get('set-cookie')).toMatch(/; Secure/);
    await safe.close();
  });

  test('is not to be had from the database', async () => {
    const one = await signIn(shop.send, people.desk.session.person.id);
    const exported = JSON.stringify(await shop.rows('sessions'));
    expect(exported).toContain('desk');
    expect(exported).not.toContain(one.cookie.slice('lastbolt='.length));
    expect(exported).not.toContain(one.token);
  });

  test('is over once it is signed out, and its token with it', async () => {
    const one = await signIn(shop.send, people.desk.session.person.id);
    expect((await shop.send('/api/session', { method: 'DELETE', headers: headersOf(one) })).status).toBe(200);
    expect((await shop.send('/api/session', { headers: headersOf(one) })).status).toBe(401);
    expect((await shop.say(one, 'x', [shop.opened('x')])).status).toBe(401);
  });

  test('locks ten minutes after the last change or touch; reading keeps nothing awake', async () => {
    const reader = await signIn(shop.send, people.desk.session.person.id);
    const writer = await signIn(shop.send, people.technician.session.person.id);
    const touch = { method: 'PUT', headers: headersOf(writer) };
    const state = async (one: SignedIn) => (await shop.send('/api/session', { headers: headersOf(one) })).status;
    shop.later(6);
    expect([await state(reader), (await shop.send('/api/session', touch)).status]).toEqual([200, 200]);
    await shop.send('/api/here', json({ ro: '1', step: 's' }, headersOf(reader)));
    shop.later(6);
    expect([await state(reader), await state(writer)]).toEqual([401, 200]);
    await shop.say(writer, 'locks', [shop.opened('locks')]);
    shop.later(9);
    expect(await state(writer)).toBe(200);
    shop.later(2);
    expect(await state(writer)).toBe(401);
    shop.later(-23);
  });

  test('ends on every tablet when its person gets another PIN, other roles, or goes', async () => {
    const boss = await signIn(shop.send, people.foreman.session.person.id);
    const { id } = await shop.doors.people.add({ name: 'Comes And Goes', roles: ['technician'], pin: PIN });
    for (const body of [{ pin: '8642' }, { roles: ['desk'] }, { gone: true }]) {
      const pin = 'pin' in body ? PIN : '8642';
      const one = await signIn(shop.send, id, pin);
      expect((await shop.send(`/api/people/${id}`, json(body, headersOf(boss), 'PATCH'))).status).toBe(200);
      expect((await shop.send('/api/session', { headers: headersOf(one) })).status).toBe(401);
    }
    expect((await shop.send('/api/session', json({ person: id, pin: '8642' }))).status).toBe(401);
  });

  test('is none of somebody’s who does not work here, whatever ended that', async () => {
    const one = await shop.person('Gone In Between', 'desk');
    await shop.doors.people.change(one.session.person.id, { gone: true });
    expect((await shop.send('/api/session', { headers: headersOf(one) })).status).toBe(401);
  });
});

describe('a PIN', () => {
  test('costs a wait that doubles with each wrong one, up to an hour', () => {
    expect([1, 2, 3, 4, 5, 10, 11, 12, 500].map(waitAfter)).toEqual([0, 0, 15, 30, 60, 1920, 3600, 3600, 3600]);
  });

  test('is not guessed: the right one is not looked at while the wait lasts, and a restart does not end it', async () => {
    let mine = await TestShop.open();
    const { id } = await mine.doors.people.add({ name: 'A', roles: ['foreman'], pin: PIN });
    const attempt = (pin: string) => mine.send('/api/session', json({ person: id, pin }));
    for (let wrong = 0; wrong < 3; wrong++) expect((await attempt('0000')).status).toBe(401);
    const locked = await attempt(PIN);
    expect([locked.status, await locked.json(), locked.headers.get('retry-after')]).toEqual([
      423,
      { error: 'too many wrong PINs: the next is tried in 15 seconds', until: '2026-11-25T09:00:15.000Z' },
      '15',
    ]);
    await mine.doors.close();
    mine = await TestShop.open({ folder: mine.folder });
    expect((await attempt(PIN)).status).toBe(423);
    mine.later(0.3);
    expect((await attempt('0000')).status).toBe(401);
    mine.later(0.4);
    expect((await attempt(PIN)).status).toBe(423);
    mine.later(0.2);
    expect((await attempt(PIN)).status).toBe(200);
    expect((await attempt('0000')).status).toBe(401);
    expect((await attempt(PIN)).status).toBe(200);
    await mine.close();
  });

  test('tried many times at once is that many tries', async () => {
    const mine = await TestShop.open();
    const { id } = await mine.doors.people.add({ name: 'A', roles: ['foreman'], pin: '7777' });
    const tries = Array.from({ length: 12 }, async (_, i) =>
      mine.send('/api/session', json({ person: id, pin: String(7766 + i) })),
    );
    const statuses = (await Promise.all(tries)).map(({ status }) => status);
    expect(statuses.filter((status) => status === 401).length).toBe(3);
    expect(statuses.filter((status) => status === 423).length).toBe(9);
    await mine.close();
  });

  test('of one’s own is changed with the one so far, guessed at no more often than at the door', async () => {
    const mine = await TestShop.open();
    for (const role of ['foreman', 'technician'] as const) {
      const one = await mine.person(`Own ${role}`, role);
      const { id } = one.session.person;
      const change = async (body: object) => {
        const answer = await mine.send(`/api/people/${id}`, json(body, headersOf(one), 'PATCH'));
        return [answer.status, ((await answer.json()) as { error?: string }).error];
      };
      expect(await change({ pin: '8642' })).toEqual([422, expect.stringMatching(/^person#\/old: is missing/)]);
      for (let wrong = 0; wrong < 3; wrong++)
        expect(await change({ pin: '8642', old: '0000' })).toEqual([422, 'the PIN so far is not right']);
      expect(await change({ pin: '8642', old: PIN })).toEqual([423, expect.stringMatching(/^too many wrong PINs/)]);
      mine.later(0.3);
      expect(await change({ pin: '8642', old: PIN })).toEqual([200, undefined]);
      await signIn(mine.send, id, '8642');
    }
    await mine.close();
  });

  test('that somebody else typed wrong at the door locks a foreman out until another foreman gives a new one', async () => {
    const mine = await TestShop.open();
    const [locked, other] = [await mine.person('Locked', 'foreman'), await mine.person('Other', 'foreman')];
    const { id } = locked.session.person;
    const attempt = async (pin: string) => (await mine.send('/api/session', json({ person: id, pin }))).status;
    for (let wrong = 0; wrong < 3; wrong++) expect(await attempt('0000')).toBe(401);
    expect(await attempt(PIN)).toBe(423);
    // Whoever holds a tablet goes on meanwhile.
    expect((await mine.send('/api/session', { headers: headersOf(locked) })).status).toBe(200);
    const lift = json({ pin: '8642' }, headersOf(other), 'PATCH');
    expect((await mine.send(`/api/people/${id}`, lift)).status).toBe(200);
    expect([await attempt('8642'), await attempt(PIN)]).toEqual([200, 401]);
    await mine.close();
  });

  test('is kept as a salted hash that takes memory to try', async () => {
    const kept = (await shop.rows('people')).map((row) => String(row['pin']));
    expect(kept.every((pin) => /^scrypt\$32768\$8\$1\$[\w-]{22}\$[\w-]{43}$/.test(pin))).toBe(true);
    // All have the same PIN.
    expect(new Set(kept).size).toBe(kept.length);
  });
});

describe('the first foreman', () => {
  test('is made once, with the code that the server printed', async () => {
    const mine = await TestShop.open();
    const first = (code: string, name = 'Ona') =>
      mine.send('/api/first', json({ code, name, pin: PIN, shop: 'Shop of a test' }));
    expect((await first('AAAAAAAA')).status).toBe(401);
    const { text } = mine.doors.first;
    const both = await Promise.all([
      first(`${text.slice(0, 4)}-${text.slice(4).toLowerCase()}`),
      first(text, 'Second'),
    ]);
    expect(both.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 422]);
    expect((await first(text, 'Third')).status).toBe(403);
    expect(await (await mine.send('/api/door')).json()).toMatchObject({ first: false, shop: 'Shop of a test' });
    expect(await mine.doors.people.list()).toHaveLength(1);
    await mine.close();
  });
});

describe('too much', () => {
  test('from one address, at the door, or by one person is put off with a time', async () => {
    const limit = { calls: 4, seconds: 60 };
    const free = { calls: 1e6, seconds: 1 };
    const limits = { address: free, door: limit, person: limit };
    const mine = await TestShop.open({ limits });
    const one = await mine.person('A', 'foreman');
    const tries = [];
    for (let i = 0; i < 4; i++)
      tries.push((await mine.send('/api/session', json({ person: 'x', pin: '1111' }))).status);
    expect(tries).toEqual([401, 401, 401, 429]);
    const touches = [];
    for (let i = 0; i < 5; i++)
      touches.push(await mine.send('/api/session', { method: 'PUT', headers: headersOf(one) }));
    expect(touches.map(({ status }) => status)).toEqual([200, 200, 200, 200, 429]);
    expect(touches.at(-1)?.headers.get('retry-after')).toBe('15');
    mine.later(0.25);
    expect((await mine.send('/api/session', { method: 'PUT', headers: headersOf(one) })).status).toBe(200);
    await mine.close();
    const few = await TestShop.open({ limits: { address: { calls: 2, seconds: 1 }, door: free, person: free } });
    const calls = [];
    for (let i = 0; i < 3; i++) calls.push((await few.send('/api/health')).status);
    expect(calls).toEqual([200, 200, 429]);
    await few.close();
  });
});

describe('a body', () => {
  const json_ = (route: Route) => route.body !== undefined && 'shape' in route.body;

  test('that is too long is refused on every route, also where nothing is to be sent', async () => {
    await eachRoute(
      (route) => changes(route) && route.body !== undefined,
      async (route) => {
        const most = route.body?.most ?? 0;
        expect(await refused(await call(route, headersOf(people.foreman), 'x'.repeat(most + 1)), 413, route)).toContain(
          String(most),
        );
      },
    );
    const none = await shop.send('/api/session', json({ a: 1 }, headersOf(people.foreman), 'DELETE'));
    expect(none.status).toBe(413);
  });

  test.each([
    ['as a form', 'a=1', 'application/x-www-form-urlencoded', 415],
    ['as plain text', '{}', 'text/plain', 415],
    ['that is no JSON', '{"a":', 'application/json', 400],
    ['that is empty', '', 'application/json', 400],
    ['that is no UTF-8', new Uint8Array([0x22, 0xff, 0xfe, 0x22]), 'application/json', 400],
    ['that reaches into prototypes', '{"__proto__":{"admin":true}}', 'application/json', 400],
    ['nested without end', `${'['.repeat(1500)}${']'.repeat(1500)}`, 'application/json', 400],
    ['of another shape', '{"unheard":"of"}', 'application/json', 422],
    ['that is a list', '[]', 'application/json', 422],
    ['that is null', 'null', 'application/json', 422],
  ] as [string, BodyInit, string, number][])('%s is refused on every route', async (_, body, type, status) => {
    const who = await signIn(shop.send, people.foreman.session.person.id);
    await eachRoute(json_, async (route) => {
      // Nothing asked for is nothing wrong: a change of a person may be empty.
      if (route.path === '/api/people/{id}' && body === '{}') return;
      await refused(await call(route, { ...headersOf(who), 'content-type': type }, body), status, route);
    });
  });
});

const SCRIPT = `<script>alert(1)</script>"'><img src=x onerror=alert(1)>\u202e\${7*7}{{7*7}}'; drop table people; --`;

describe('script', () => {
  test('in any text that people write is kept and given back as text', async () => {
    const boss = await signIn(shop.send, people.foreman.session.person.id);
    const added = await shop.send('/api/people', json({ name: SCRIPT, roles: ['desk'], pin: PIN }, headersOf(boss)));
    expect(await added.json()).toMatchObject({ name: SCRIPT, id: expect.stringMatching(/^[a-z0-9-]+$/) as string });
    const settings = { name: SCRIPT, alone: false, units: 'metric', tools: null };
    expect((await shop.send('/api/shop', json(settings, headersOf(boss), 'PUT'))).status).toBe(200);
    const door = await shop.send('/api/door');
    expect(await door.json()).toMatchObject({ shop: SCRIPT });
    expect(door.headers.get('content-type')).toMatch(/^application\/json/);
    expect(door.headers.get('x-content-type-options')).toBe('nosniff');
  });

  test('in every text of every command comes back as it was, as JSON', async () => {
    const boss = await signIn(shop.send, people.foreman.session.person.id);
    const ro = `script ${SCRIPT}`.slice(0, 150);
    await shop.said(boss, ro, shop.opened(ro));
    const texts: Told[] = [
      { type: 'vehicle-told', vehicle: { name: SCRIPT } },
      {
        type: 'line-added',
        id: 'script-line',
        line: { part: 'windscreen', did: 'replaced', note: SCRIPT, by: SCRIPT },
      },
      { type: 'scanned', when: 'before', codes: [{ code: 'U0121', module: SCRIPT, text: SCRIPT }] },
      { type: 'photo-attached', hash: 'cd'.repeat(32), shows: SCRIPT },
      { type: 'set-up-left', setup: {}, note: SCRIPT },
      { type: 'line-struck', line: 'script-line', because: SCRIPT },
    ];
    const { outcomes } = await shop.said(boss, ro, ...texts);
    expect(outcomes.map(({ is }) => is)).toEqual(texts.map(() => 'taken'));
    const answer = await shop.send(`/api/records/${encodeURIComponent(ro)}`, { headers: headersOf(boss) });
    expect(answer.headers.get('content-type')).toMatch(/^application\/json/);
    expect(((await answer.json()) as Served).events.slice(1)).toMatchObject(texts);
  });
});

describe('what the log of calls tells', () => {
  test('is route, status and time: no names, numbers of jobs, VINs, PINs or cookies', async () => {
    const one = await signIn(shop.send, people.desk.session.person.id);
    await shop.said(one, 'RO-4711', shop.opened('RO-4711'), {
      type: 'vehicle-told',
      vehicle: { vin: '7ZHAB3C59K0900418' },
    });
    await shop.send('/api/no-such-thing-as-RO-4711');
    await shop.send('/api/records/RO-4711?from=0', { headers: headersOf(one) });
    const lines = JSON.stringify(shop.lines);
    expect(lines).toContain('"route":"POST /api/records/{ro}","status":200');
    expect(lines).not.toMatch(/RO-4711|7ZHAB3C59K0900418|The desk|the-desk|2468/);
    expect(lines).not.toContain(one.token);
    expect(lines).not.toContain(one.cookie.slice(9));
    for (const line of shop.lines) expect(Object.keys(line)).toEqual(['time', 'route', 'status', 'ms']);
  });
});

describe('a failure of the server’s own', () => {
  test('is told as a sentence without what went wrong inside, and logged without whom it was about', async () => {
    const told: object[] = [];
    const mine = await TestShop.open({ tell: (line) => void told.push(line) });
    const one = await mine.person('A', 'foreman');
    mine.bare.exec(`update people set roles = 'Zelda of RO 4711' where name = 'A'`);
    const answer = await mine.send('/api/people', { headers: headersOf(one) });
    expect([answer.status, await answer.json()]).toEqual([
      500,
      { error: 'the server failed at this; its log says where' },
    ]);
    const failed = told.find((line) => 'failed' in line);
    expect(failed).toMatchObject({ failed: 'GET /api/people', error: 'SyntaxError' });
    expect(JSON.stringify(failed)).toMatch(/people\.ts/);
    expect(JSON.stringify(told)).not.toMatch(/Zelda|4711/);
    await mine.close();
  });
});

describe('the address', () => {
  test.each(['evil.example', 'localhost.evil.example', '127.0.0.1.evil.example', ''])(
    'of a page whose name was bent to this machine is turned away: %s',
    async (host) => {
      for (const path of ['/', '/api/door', '/api/health'])
        expect((await shop.send(path, { headers: { host } })).status).toBe(403);
    },
  );
});

/** Words that mean something to an engine, a database or a page. */
const ODD = [
  '__proto__',
  'constructor',
  'toString',
  'hasOwnProperty',
  '0',
  '-1',
  'null',
  '',
  ' ',
  '\u0000',
  '\ud800',
  '😀',
];
const oddText = fc.oneof(
  fc.constantFrom(...ODD, 'at:line-x', 'at:0', 'wait:toString', 'done:__proto__', 'holds:constructor', 'did:x/y'),
  fc.string({ unit: 'binary', maxLength: 40 }),
);

describe('junk', () => {
  test('on any route is refused or taken, and never fails the server', async () => {
    const boss = await signIn(shop.send, people.foreman.session.person.id);
    const pick = routes.filter(({ path }) => !['/api/session', '/api/first', '/api/live'].includes(path));
    expect(pick.length).toBeGreaterThan(15);
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...pick), fc.json(), oddText, oddText, async (route, body, name, more) => {
        const path = route.path.replaceAll(/\{\w+\}/g, () => encodeURIComponent(wellFormed(name)) || '%20');
        const query = `?from=${encodeURIComponent(wellFormed(more))}&after=${encodeURIComponent(wellFormed(name))}`;
        const sent = route.body ? { body, headers: { 'content-type': 'application/json' } } : { headers: {} };
        const answer = await shop.send(path + query, {
          method: route.method.toUpperCase(),
          ...sent,
          headers: { ...sent.headers, ...headersOf(boss) },
        });
        expect([named(route), answer.status]).not.toContain(500);
        if (answer.status >= 400) expect(await answer.json()).toHaveProperty('error');
      }),
      { numRuns: 400 },
    );
  });

  test('in any field of any command is refused or taken, and the job can be read after it', async () => {
    const boss = await signIn(shop.send, people.foreman.session.person.id);
    const windscreen = { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } } as const;
    await shop.said(boss, 'junk', shop.opened('junk'), windscreen, { type: 'work-done' });
    const steps = ['glass-adhesive-wait', 'clear-codes', 'after-scan', 'before-scan'];
    const types = Object.keys(SAID) as CommandType[];
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...types),
        fc.constantFrom(...steps),
        fc.nat(20),
        oddText,
        async (type, step, at, text) => {
          const real = 'step' in SAID[type] ? { ...SAID[type], step } : SAID[type];
          const valued = ['noted', 'took', 'did-not-take'].includes(type)
            ? { ...real, values: { [text]: { kind: 'text', value: text } } }
            : real;
          const saying = at % 3 === 0 ? valued : withText(real as Saying, at, text);
          const said = await shop.say(boss, 'junk', [saying as Told]);
          expect([type, text, said.status]).not.toContain(500);
          expect([200, 400, 422]).toContain(said.status);
        },
      ),
      { numRuns: 400 },
    );
    expect((await shop.send('/api/records/junk', { headers: headersOf(boss) })).status).toBe(200);
  });
});

function wellFormed(text: string): string {
  return text.replaceAll(/\p{Surrogate}/gu, '\ufffd');
}

/** The saying with one of its texts exchanged, wherever that stands. */
function withText(saying: Saying, at: number, text: string): unknown {
  let count = 0;
  const texts = JSON.stringify(saying).match(/(?<=:)"(?:[^"\\]|\\.)*"/g)?.length ?? 1;
  return JSON.parse(
    JSON.stringify(saying, (key, value: unknown) =>
      typeof value === 'string' && key !== 'type' && count++ === at % Math.max(1, texts - 1) ? text : value,
    ),
  );
}

interface Shape {
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly type?: string;
  readonly pattern?: string;
  readonly format?: string;
  readonly minItems?: number;
  readonly properties?: Readonly<Record<string, Shape>>;
  readonly required?: readonly string[];
  readonly items?: Shape;
  readonly anyOf?: readonly Shape[];
  readonly oneOf?: readonly Shape[];
}

/** The least that a shape takes. */
function sample(shape: Shape): unknown {
  if (shape.const !== undefined) return shape.const;
  if (shape.enum) return shape.enum[0];
  const either = (shape.anyOf ?? shape.oneOf)?.[0];
  if (either) return sample(either);
  if (shape.type === 'string') return text(shape);
  if (shape.type === 'integer' || shape.type === 'number') return 1;
  if (shape.type === 'boolean') return false;
  if (shape.type === 'array') return Array.from({ length: shape.minItems ?? 0 }, () => sample(shape.items ?? {}));
  if (shape.type !== 'object') return null;
  const asked = Object.entries(shape.properties ?? {}).filter(([name]) => shape.required?.includes(name));
  return Object.fromEntries(asked.map(([name, inner]) => [name, sample(inner)]));
}

function text({ pattern, format }: Shape): string {
  if (format === 'date-time') return '2026-11-25T09:00:00Z';
  if (format === 'date') return '2026-11-25';
  const found = ['x', 'ab'.repeat(32), 'P0123'].find((one) => pattern === undefined || new RegExp(pattern).test(one));
  if (found === undefined) throw new Error(`no sample fits ${pattern}`);
  return found;
}
