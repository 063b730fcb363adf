import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CannotServe } from '../src/server/cannot-serve.ts';
import { type Metrics, openMetrics } from '../src/server/metrics.ts';
import { readOpenMetrics } from './metrics.openmetrics.ts';
import { rules, TestShop } from './server.shop.ts';
import { headersOf } from './signed-in.ts';

const about = { rules: rules.version, now: () => new Date('2026-11-25T09:00:00Z') };
const TOKEN = 'token-of-a-test-0123';

const closers: (() => Promise<void> | void)[] = [];

afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function opened(settings: Parameters<typeof openMetrics>[0]): Promise<Metrics> {
  const metrics = (await openMetrics(settings, about)) as Metrics;
  closers.push(() => metrics.close());
  return metrics;
}

/** What a server would answer that has nothing else. */
const otherwise = (_request: Request): Response | Promise<Response> => new Response('the page');
const asked = (metrics: Metrics, headers: Record<string, string> = {}, path = '/metrics', method = 'GET') =>
  Promise.resolve(metrics.through(otherwise)(new Request(`http://bolt.shop.test${path}`, { method, headers })));
const bearer = { authorization: `Bearer ${TOKEN}` };

async function value(metrics: Metrics, name: string, labels: Record<string, string> = {}): Promise<number | undefined> {
  const families = readOpenMetrics(await (await asked(metrics, bearer)).text());
  const samples = [...families.values()].flatMap((family) => family.samples);
  return samples.find(
    (one) => one.name === name && Object.entries(labels).every(([label, is]) => one.labels[label] === is),
  )?.value;
}

describe('figures of a shop at work', () => {
  let metrics: Metrics;
  let shop: TestShop;

  beforeEach(async () => {
    metrics = await opened({ token: TOKEN });
    shop = await TestShop.open({
      tell: metrics.counting('north', () => undefined),
      appended: metrics.appended('north'),
    });
    closers.push(() => shop.close());
    metrics.watch('north', shop.doors);
  });

  test('are OpenMetrics, and count calls, appends and what is kept', async () => {
    const ona = await shop.person('Ona Brandt', 'foreman');
    await shop.said(ona, 'SECRET-48213', shop.opened('SECRET-48213'), {
      type: 'line-added',
      line: { part: 'windscreen', did: 'replaced', note: 'customer Jo Marchetti waits' },
    });
    for (let i = 0; i < 3; i++) await shop.send('/api/health');
    await shop.send('/api/records/NOT-THERE', { headers: headersOf(ona) });
    await shop.send('/api/nowhere');
    const answer = await asked(metrics, bearer);
    expect(answer.headers.get('content-type')).toBe('application/openmetrics-text; version=1.0.0; charset=utf-8');
    const text = await answer.text();
    const families = readOpenMetrics(text);
    for (const [name, type] of [
      ['lastbolt_calls', 'counter'],
      ['lastbolt_call_seconds', 'histogram'],
      ['process_resident_memory_bytes', 'gauge'],
      ['nodejs_eventloop_lag_seconds', 'gauge'],
    ] as const)
      expect([name, families.get(name)?.type]).toEqual([name, type]);
    const north = { site: 'north' };
    const route = (path: string, status: string) => ({ ...north, route: path, status });
    for (const [name, labels, is] of [
      ['lastbolt_calls_total', route('GET /api/health', '200'), 3],
      ['lastbolt_calls_total', route('GET /api/records/{ro}', '404'), 1],
      ['lastbolt_calls_total', route('GET (nothing)', '404'), 1],
      ['lastbolt_call_seconds_count', { ...north, route: 'GET /api/health' }, 3],
      ['lastbolt_appends_total', north, 1],
      ['lastbolt_events_taken_total', north, 2],
      ['lastbolt_events', north, 2],
      ['lastbolt_jobs', { ...north, status: 'open' }, 1],
      ['lastbolt_jobs', { ...north, status: 'released' }, 0],
      ['lastbolt_flaws', north, 0],
      ['lastbolt_database_up', north, 1],
      ['lastbolt_failures_total', north, 0],
      ['lastbolt_pins', { state: 'waiting' }, 0],
      ['lastbolt_verified_timestamp_seconds', north, shop.now.getTime() / 1000],
      ['lastbolt_written_timestamp_seconds', north, shop.now.getTime() / 1000],
      ['lastbolt_build', { rules: rules.version, version: '0.1.0', node: process.version }, 1],
    ] as const)
      expect([name, labels, await value(metrics, name, labels)]).toEqual([name, labels, is]);
    expect(await value(metrics, 'lastbolt_record_bytes', north)).toBeGreaterThan(50_000);
    // Neither a job nor a person nor a car.
    for (const word of ['SECRET', 'Ona', 'Marchetti', 'NOT-THERE', 'nowhere', 'windscreen'])
      expect(text).not.toContain(word);
  });

  test('tell how many listen, and of a database that is gone', async () => {
    const ona = await shop.person('Ona Brandt', 'foreman');
    const stream = (await shop.send('/api/live', { headers: headersOf(ona) })) as Response;
    expect(await value(metrics, 'lastbolt_live_streams', { site: 'north' })).toBe(1);
    await stream.body?.cancel();
    await shop.doors.close();
    expect(await value(metrics, 'lastbolt_database_up', { site: 'north' })).toBe(0);
    // A figure of before would pass for one of now.
    expect(await value(metrics, 'lastbolt_events', { site: 'north' })).toBeUndefined();
    expect((await shop.send('/api/door')).status).toBe(503);
    expect(await value(metrics, 'lastbolt_failures_total', { site: 'north' })).toBe(1);
  });
});

describe('who may read them', () => {
  test.each([
    ['with the token', bearer, '/metrics', 'GET', 200],
    ['without', {}, '/metrics', 'GET', 401],
    ['with another of the same length', { authorization: `Bearer ${TOKEN.replace('3', '4')}` }, '/metrics', 'GET', 401],
    ['with a shorter one', { authorization: 'Bearer t' }, '/metrics', 'GET', 401],
    ['with the token, to write', bearer, '/metrics', 'POST', 405],
  ])('on the server’s own port: %s', async (_, headers, path, method, status) => {
    const metrics = await opened({ token: TOKEN });
    const answer = await asked(metrics, headers, path, method);
    expect([answer.status, (await answer.text()).includes('# EOF')]).toEqual([status, status === 200]);
  });

  test('any other path is the server’s', async () => {
    const metrics = await opened({ token: TOKEN });
    for (const path of ['/', '/metrics/', '/api/health', '/metricsx'])
      expect(await (await asked(metrics, {}, path)).text()).toBe('the page');
  });

  test('on a port of their own, this machine only, and by no name from elsewhere', async () => {
    const metrics = await opened({ port: 0 });
    expect(await (await asked(metrics)).text()).toBe('the page');
    const at = `http://127.0.0.1:${metrics.port}`;
    expect(readOpenMetrics(await (await fetch(`${at}/metrics`)).text()).size).toBeGreaterThan(20);
    expect((await fetch(`${at}/api/health`)).status).toBe(404);
    // What a page under a bent name would send; fetch itself does not let the header be set.
    expect(await statusUnder('evil.test', metrics.port as number)).toBe(403);
    expect(await statusUnder(`localhost:${metrics.port}`, metrics.port as number)).toBe(200);
  });

  test('a port of their own with a token asks for it', async () => {
    const metrics = await opened({ port: 0, token: TOKEN });
    const at = `http://127.0.0.1:${metrics.port}/metrics`;
    expect((await fetch(at)).status).toBe(401);
    expect((await fetch(at, { headers: bearer })).status).toBe(200);
  });

  test('nobody where the settings ask for none', async () => {
    expect(await openMetrics(undefined, about)).toBeUndefined();
  });
});

describe('a token in a file', () => {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-metrics-'));
  const file = (text: string) => {
    writeFileSync(join(folder, 'token'), text);
    return join(folder, 'token');
  };
  afterEach(() => rmSync(join(folder, 'token'), { force: true }));

  test('is read without the line feed behind it', async () => {
    const metrics = await opened({ 'token-file': file(`${TOKEN}\n`) });
    expect((await asked(metrics, bearer)).status).toBe(200);
  });

  test.each([
    ['too short', () => ({ 'token-file': file('short\n') }), /wants 16 characters/],
    ['not there', () => ({ 'token-file': join(folder, 'none') }), /none can not be read \(ENOENT\)/],
    ['beside another', () => ({ token: TOKEN, 'token-file': file(TOKEN) }), /said twice/],
  ])('%s is refused', async (_, settings, says) => {
    await expect(openMetrics(settings(), about)).rejects.toThrow(says);
    await expect(openMetrics(settings(), about)).rejects.toThrow(CannotServe);
  });
});

test('a port that is taken is told of', async () => {
  const { port } = await opened({ port: 0 });
  await expect(openMetrics({ port: port as number }, about)).rejects.toThrow(/port \d+ for figures is taken/);
});

test.each([
  ['a\n', /does not end/],
  ['# TYPE a counter\na 1\n# EOF\n', /does not belong to the counter a/],
  ['# TYPE a gauge\na{b="\\x"} 1\n# EOF\n', /no sample/],
  ['# TYPE a gauge\na 1\na 2\n# EOF\n', /twice/],
  ['# TYPE a gauge\na 1\n# TYPE b gauge\nb 1\n# TYPE a gauge\n# EOF\n', /two places/],
  ['# TYPE a histogram\na_bucket{le="1"} 1\na_count 1\na_sum 1\n# EOF\n', /not \+Inf/],
  ['# TYPE a histogram\na_bucket{le="1"} 2\na_bucket{le="+Inf"} 1\na_count 1\n# EOF\n', /do not rise/],
])('the reader sees what is none: %j', (text, says) => {
  expect(() => readOpenMetrics(text)).toThrow(says);
});

async function statusUnder(host: string, port: number): Promise<number> {
  const { request } = await import('node:http');
  return new Promise((done, failed) => {
    const sent = request({ host: '127.0.0.1', port, path: '/metrics', headers: { host } }, (answer) => {
      answer.resume();
      done(answer.statusCode ?? 0);
    });
    sent.on('error', failed).end();
  });
}
