import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Live, Served, Summaries } from '../src/job/exchange.ts';
import { rules, TestShop } from './server.shop.ts';
import { headersOf, json, type SignedIn } from './signed-in.ts';

let shop: TestShop;
let desk: SignedIn;

beforeEach(async () => {
  shop = await TestShop.open();
  desk = await shop.person('Pia Desk', 'desk');
});

afterEach(async () => {
  await shop.close();
});

const windscreen = { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } } as const;

async function got<T>(path: string, who = desk): Promise<{ status: number; body: T & { error?: string } }> {
  const answer = await shop.send(path, { headers: headersOf(who) });
  return { status: answer.status, body: (await answer.json()) as T & { error?: string } };
}

describe('a job on record', () => {
  test('takes what may be said, refuses what may not, each by itself, and gives what the tablet has not', async () => {
    await shop.said(desk, '48213', shop.opened('48213'));
    const answer = await shop.say(
      desk,
      '48213',
      [
        { type: 'vehicle-told', vehicle: { modelYear: 2019 } },
        { type: 'line-struck', line: 'none', because: 'x' },
        windscreen,
      ],
      1,
    );
    const { outcomes, record } = (await answer.json()) as Awaited<ReturnType<TestShop['said']>>;
    expect(outcomes).toMatchObject([
      { is: 'taken' },
      { is: 'refused', refused: ['There is no work line `none` that could be struck.'] },
      { is: 'taken' },
    ]);
    expect(record).toMatchObject({ ro: '48213', version: 3, from: 1 });
    expect(record?.events.map(({ type, by }) => [type, by])).toEqual([
      ['vehicle-told', 'Pia Desk'],
      ['line-added', 'Pia Desk'],
    ]);
  });

  test('sent twice is there once, and was taken both times', async () => {
    const twice = [
      { ...shop.opened('1'), id: 'a' },
      { ...windscreen, id: 'b' },
    ] as const;
    const first = await shop.said(desk, '1', ...twice);
    const again = await shop.said(desk, '1', ...twice);
    expect(again.outcomes).toEqual([
      { is: 'taken', id: 'a' },
      { is: 'taken', id: 'b' },
    ]);
    expect(again.record).toEqual(first.record);
  });

  test('of many who write at once all are taken, each decided on what the others left', async () => {
    await shop.said(desk, '1', shop.opened('1'));
    const many = Array.from({ length: 6 }, (_, i) => shop.said(desk, '1', { ...windscreen, id: `at-once-${i}` }));
    const answers = await Promise.all(many);
    expect(answers.flatMap(({ outcomes }) => outcomes.map(({ is }) => is))).toEqual(many.map(() => 'taken'));
    const { body } = await got<Served>('/api/records/1');
    expect(body.version).toBe(7);
    // Only one of two can say that the work is done.
    const hands = await shop.person('Tom Hands', 'technician');
    const done = await Promise.all(['x', 'y'].map((id) => shop.said(hands, '1', { type: 'work-done', id })));
    expect(done.flatMap(({ outcomes }) => outcomes.map(({ is }) => is)).sort()).toEqual(['refused', 'taken']);
  });

  test('keeps the time as it was told, and refuses one that the server’s clock has not reached', async () => {
    const told = (at: string) => ({ ...windscreen, id: `t${at.replaceAll(/\D/g, '')}`, at });
    const { outcomes, record } = await shop.said(
      desk,
      '1',
      shop.opened('1'),
      told('2026-11-20T07:00:00+01:00'),
      told('2026-11-25T09:04:59Z'),
      told('2026-11-25T09:17:00Z'),
    );
    expect(outcomes.map(({ is }) => is)).toEqual(['taken', 'taken', 'taken', 'refused']);
    expect(outcomes[3]).toMatchObject({
      refused: ["The clock of this tablet is 17 minutes ahead of the server's: set it right and say it again."],
    });
    expect(record?.events[1]?.at).toBe('2026-11-20T07:00:00+01:00');
  });

  test('is pinned to the rulebook in force, and to its own number', async () => {
    const other = await shop.said(desk, '1', { ...shop.opened('1'), rulebook: '0123456789abcdef' });
    expect(other.outcomes).toMatchObject([
      { refused: [expect.stringMatching(/^Rulebook 0123456789abcdef is not in force/)] },
    ]);
    const wrong = await shop.said(desk, '1', shop.opened('2'));
    expect(wrong).toMatchObject({
      outcomes: [{ refused: ['This opens job 2, and was sent to job 1.'] }],
      record: null,
    });
    expect((await got('/api/records/1')).status).toBe(404);
  });

  test('stays pinned when other rules come into force, is decided by its own, and they are served for ever', async () => {
    await shop.said(desk, '1', shop.opened('1'));
    await shop.doors.close();
    const files = { ...rules.files, 'tyres/zz.json': rules.files['tyres/wheel-bolt-torque.json'] as string };
    const changed = new Date('2026-11-25T12:00:00Z');
    shop = await TestShop.open({ folder: shop.folder, rules: { version: 'not-its-own', files }, at: changed });
    desk = await shop.person('Second Desk', 'desk');
    expect((await shop.said(desk, '1', windscreen)).outcomes).toMatchObject([{ is: 'taken' }]);
    expect((await got(`/api/rules/${rules.version}`)).body).toEqual(rules);
    expect((await got('/api/health')).body).toMatchObject({ rules: 'not-its-own' });
    const { outcomes } = await shop.said(desk, '2', shop.opened('2'));
    expect(outcomes).toMatchObject([{ refused: [expect.stringMatching(/is not in force, not-its-own is/)] }]);
    // Said while they were in force, on a tablet without a signal; and not for ever.
    const late = (ro: string) => shop.said(desk, ro, { ...shop.opened(ro), at: '2026-11-25T11:59:59Z' });
    expect(await late('3')).toMatchObject({ outcomes: [{ is: 'taken' }], record: { version: 1 } });
    shop.later(3 * 24 * 60);
    desk = await shop.person('Third Desk', 'desk');
    expect((await late('4')).outcomes).toMatchObject([{ is: 'refused' }]);
  });

  test('takes the place of its draft', async () => {
    const put = () => shop.send('/api/jobs/1', json({ ro: '1', work: [] }, headersOf(desk), 'PUT'));
    expect((await put()).status).toBe(200);
    await shop.said(desk, '1', shop.opened('1'));
    expect((await got<{ jobs: object[] }>('/api/jobs')).body.jobs).toEqual([]);
    const late = await put();
    expect([late.status, await late.json()]).toEqual([
      409,
      { error: 'job 1 is on record: it is changed there, not as a draft', onRecord: true },
    ]);
  });

  test.each(['48/213', "4'; drop table record_events; --", 'Ä 12', '%2e%2e', 'a?b#c'])(
    'may bear the number %s',
    async (ro) => {
      await shop.said(desk, ro, shop.opened(ro));
      expect((await got<Served>(`/api/records/${encodeURIComponent(ro)}`)).body.ro).toBe(ro);
    },
  );
});

describe('the list', () => {
  test('comes page by page, written last first, nothing twice and nothing left out', async () => {
    for (let i = 0; i < 7; i++) {
      shop.later(1);
      await shop.doors.log.append(`${i}`, 0, [{ ...opened(`${i}`) }]);
    }
    const seen: string[] = [];
    let after: string | null = null;
    for (let pages = 0; pages < 5; pages++) {
      const { body }: { body: Summaries } = await got<Summaries>(
        `/api/records?limit=3${after ? `&after=${after}` : ''}`,
      );
      seen.push(...body.records.map(({ ro }) => ro));
      after = body.next;
      if (!after) break;
    }
    expect(seen).toEqual(['6', '5', '4', '3', '2', '1', '0']);
  });

  test('tells open ones from ended ones', async () => {
    await shop.doors.log.append('open', 0, [opened('open')]);
    await shop.doors.log.append('gone', 0, [opened('gone'), released]);
    const ros = async (query: string) =>
      (await got<Summaries>(`/api/records?${query}`)).body.records.map(({ ro }) => ro);
    expect([await ros('status=open'), await ros('status=ended'), (await ros('')).length]).toEqual([
      ['open'],
      ['gone'],
      2,
    ]);
  });

  test.each(['limit=0', 'limit=501', 'limit=x', 'status=all', 'after=x', 'after=W10', 'unheard=of'])(
    'refuses %s',
    async (query) => {
      const { status, body } = await got<{ error: string }>(`/api/records?${query}`);
      expect([status, typeof body.error]).toEqual([422, 'string']);
    },
  );
});

const at = '2026-11-25T09:00:00Z';
const opened = (ro: string) => ({
  type: 'opened',
  v: 1,
  id: 'o',
  at,
  by: 'A',
  ro,
  rulebook: rules.version,
  units: 'metric',
});
const released = { type: 'released', v: 1, id: 'r', at, by: 'A', owner: [], undetermined: [], independent: true };

describe('live', () => {
  test('tells what was written, which draft changed and where hands are, and ends with the session', async () => {
    const stream = await shop.send('/api/live', { headers: headersOf(desk) });
    expect(stream.headers.get('content-type')).toBe('text/event-stream');
    const heard = reading(stream);
    await heard.until('listening');
    await shop.said(desk, '1', shop.opened('1'));
    await shop.send('/api/jobs/2', json({ ro: '2', work: [] }, headersOf(desk), 'PUT'));
    await shop.send('/api/here', json({ ro: '1', step: 'after-scan' }, headersOf(desk)));
    await shop.send('/api/here', json({ ro: '1', step: '' }, headersOf(desk)));
    await heard.until('"gone":true');
    const messages: Live[] = [
      { type: 'record', ro: '1', version: 1, status: 'open' },
      { type: 'draft', ro: '2' },
      { type: 'here', ro: '1', step: 'after-scan', person: 'Pia Desk', gone: false },
      { type: 'here', ro: '1', step: '', person: 'Pia Desk', gone: true },
    ];
    expect(heard.messages()).toEqual(messages);
    expect(shop.doors.hub.size).toBe(1);
    await shop.send('/api/session', { method: 'DELETE', headers: headersOf(desk) });
    await heard.until('event: ended');
    await heard.end;
    expect(shop.doors.hub.size).toBe(0);
  });

  test('tells a tablet nothing once it has locked', async () => {
    const heard = reading(await shop.send('/api/live', { headers: headersOf(desk) }));
    await heard.until('listening');
    shop.later(11);
    shop.doors.hub.tell({ type: 'draft', ro: '4711' });
    await heard.end;
    expect(heard.messages()).toEqual([]);
    expect(shop.doors.hub.size).toBe(0);
  });

  test('of one session the oldest stream makes room for the newest; of all there is an end', async () => {
    const streams = [];
    for (let i = 0; i < 5; i++) streams.push(reading(await shop.send('/api/live', { headers: headersOf(desk) })));
    await streams[0]?.end;
    expect(shop.doors.hub.size).toBe(4);
    shop.doors.hub.endAll();
    await Promise.all(streams.map(({ end }) => end));
  });
});

/** A stream, as it is read. */
function reading(answer: Response): { until(text: string): Promise<void>; end: Promise<void>; messages(): Live[] } {
  let said = '';
  let told = () => {};
  const read = async () => {
    const reader = (answer.body as ReadableStream<Uint8Array>).getReader();
    for (let next = await reader.read(); !next.done; next = await reader.read()) {
      said += new TextDecoder().decode(next.value);
      told();
    }
  };
  return {
    end: read(),
    until: (text) =>
      new Promise((done) => {
        const look = () => said.includes(text) && done();
        told = look;
        look();
      }),
    messages: () => [...said.matchAll(/^data: (\{.*\})$/gm)].map(([, text]) => JSON.parse(text as string) as Live),
  };
}

describe('a record that was tampered with', () => {
  test('is found at the start, named when it is read, and not written to; the others go on', async () => {
    for (const ro of ['bad', 'good']) await shop.said(desk, ro, shop.opened(ro), windscreen);
    shop.bare.exec(`update record_events set event = replace(event, 'windscreen', 'door-glass') where job = 'bad'`);
    const says = 'job bad, event 2: it was changed after it was written; its hash does not match';
    expect(await got('/api/records/bad')).toMatchObject({ status: 409, body: { error: says } });
    const written = await shop.say(desk, 'bad', [windscreen]);
    expect([written.status, await written.json()]).toEqual([409, { error: says }]);
    expect((await shop.said(desk, 'good', windscreen)).outcomes).toMatchObject([{ is: 'taken' }]);
    await shop.doors.close();
    shop = await TestShop.open({ folder: shop.folder });
    expect(shop.doors.flaws.map((flaw) => flaw.says)).toEqual([says]);
    expect(await (await shop.send('/api/health')).json()).toMatchObject({ ok: true, flaws: 1 });
  });

  test('a status changed on the list of jobs is found too', async () => {
    await shop.said(desk, '1', shop.opened('1'));
    shop.bare.exec(`update record_heads set status = 'released' where job = '1'`);
    expect(await got('/api/records/1')).toMatchObject({
      status: 409,
      body: { error: 'job 1, event 1: the list of jobs says it is released, and its events say open' },
    });
  });
});

describe('the disk', () => {
  test('that is full is told, nothing is half kept, and all goes on once there is room', async () => {
    await shop.said(desk, '1', shop.opened('1'));
    const [{ page_count: pages }] = shop.bare.pragma('page_count') as [{ page_count: number }];
    shop.bare.pragma(`max_page_count = ${pages}`);
    const notes = Array.from({ length: 60 }, (_, i) => ({
      ...windscreen,
      id: `full-${i}`,
      line: { ...windscreen.line, note: `${i} ${'x'.repeat(190)}` },
    }));
    const full = await shop.say(desk, '1', notes);
    expect([full.status, await full.json()]).toEqual([
      503,
      { error: 'nothing was kept: the disk is full; make room and send it again' },
    ]);
    expect((await got<Served>('/api/records/1')).body.version).toBe(1);
    const photo = await shop.send('/api/photos', {
      method: 'POST',
      headers: { ...headersOf(desk), 'content-type': 'image/jpeg' },
      body: Uint8Array.from({ length: 500_000 }, (_, i) => [0xff, 0xd8, 0xff][i] ?? i % 7),
    });
    expect(photo.status).toBe(503);
    shop.bare.pragma('max_page_count = 100000');
    expect((await shop.said(desk, '1', ...notes)).record?.version).toBe(61);
  }, 60_000);

  test('from which the database was taken is told, and nothing is acknowledged that nobody will find', async () => {
    await shop.said(desk, '1', shop.opened('1'));
    rmSync(join(shop.folder, 'data/record.db'));
    for (const path of ['/api/records/1', '/api/records', '/api/session', '/api/jobs']) {
      const { status, body } = await got<{ error: string }>(path);
      expect([status, body.error]).toEqual([
        503,
        expect.stringMatching(/record.db is gone; put it back and start again/),
      ]);
    }
    expect((await shop.say(desk, '1', [windscreen])).status).toBe(503);
  });
});

describe('the description', () => {
  test('is OpenAPI 3.1 of every call there is, with what it takes, gives and refuses', async () => {
    const { body } = await got<{ openapi: string; paths: Record<string, Record<string, Described>> }>(
      '/api/openapi.json',
    );
    expect(body.openapi).toBe('3.1.0');
    const calls = Object.entries(body.paths).flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, told]) => ({ call: `${method} ${path}`, told })),
    );
    expect(calls.length).toBeGreaterThan(20);
    for (const { call, told } of calls) {
      const open = ['health', 'rules', 'door', 'first'].some((name) => call.includes(`/api/${name}`));
      if (!open && call !== 'post /api/session')
        expect([call, told.responses['401']?.description]).not.toContain(undefined);
      expect([call, Object.keys(told.responses['200']?.content ?? {}).length > 0]).toEqual([call, true]);
    }
    const say = body.paths['/api/records/{ro}']?.['post'];
    expect(say?.requestBody?.content['application/json']).toHaveProperty('schema.properties.commands.items');
    expect(say?.security).toEqual([{ session: [], token: [] }]);
  });
});

interface Described {
  readonly security?: readonly object[];
  readonly requestBody?: { readonly content: Readonly<Record<string, object>> };
  readonly responses: Readonly<Record<string, { readonly description: string; readonly content?: object } | undefined>>;
}
