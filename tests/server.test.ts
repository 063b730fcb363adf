import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readFacts } from '../src/resolve/facts.ts';
import { fold } from '../src/job/evolve.ts';
import { refusals } from '../src/job/gate.ts';
import { type Plan, plan } from '../src/job/plan.ts';
import { sightOf } from '../src/job/sight.ts';
import { timersOf } from '../src/job/timers.ts';
import type { Job } from '../src/job/state.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { demoJobs, seedDemo } from '../src/server/demo/seed.ts';
import { checkDigit } from '../src/vehicle/check-digit.ts';
import { rules, TestShop } from './server.shop.ts';
import { headersOf, type SignedIn } from './signed-in.ts';

const top = fileURLToPath(new URL('..', import.meta.url));

let shop: TestShop;
let desk: SignedIn;

beforeEach(async () => {
  shop = await TestShop.open();
  desk = await shop.person('Desk', 'desk');
});

afterEach(async () => {
  await shop.close();
});

describe('drafts over http', () => {
  test('are put, read and listed', async () => {
    const job = { ro: '48/213', vehicle: { market: 'US' }, work: [{ part: 'windscreen', did: 'replaced' }] };
    const kept = await send('48/213', job, { 'if-match': '"0"', 'x-rules': 'v1' });
    expect(kept.status).toBe(200);
    expect(await kept.json()).toMatchObject({
      ro: '48/213',
      revision: 1,
      rules: 'v1',
      updated: '2026-11-25T09:00:00.000Z',
      job,
    });
    expect(await (await get('/api/jobs/48%2F213')).json()).toMatchObject({ job });
    expect(await (await get('/api/jobs')).json()).toMatchObject({ jobs: [{ ro: '48/213' }] });
  });

  test('are refused with 409 and what stands, when somebody else was first', async () => {
    await send('1', { ro: '1', work: [] }, { 'if-match': '"0"' });
    const late = await send('1', { ro: '1', work: [] }, { 'if-match': '"0"' });
    expect(late.status).toBe(409);
    expect(await late.json()).toMatchObject({
      error: expect.stringContaining('was changed elsewhere'),
      current: { revision: 1 },
    });
  });

  const bad: [what: string, body: string, status: number, sentence: RegExp, headers?: Record<string, string>][] = [
    ['broken JSON', '{"ro":', 400, /job: is not JSON/],
    ['a missing field', '{"ro":"1"}', 422, /job#\/work: is missing/],
    ['a misspelt field', '{"ro":"1","work":[],"vehicel":{}}', 422, /unknown key: `vehicel`; did you mean `vehicle`\?/],
    ['an unknown did', '{"ro":"1","work":[{"part":"windscreen","did":"replacd"}]}', 422, /did you mean `replaced`\?/],
    ['a prototype key', '{"ro":"1","work":[],"__proto__":{}}', 400, /forbidden key/],
    ['deep nesting', `{"ro":"1","work":${'['.repeat(200)}${']'.repeat(200)}}`, 400, /nested deeper than 64 levels/],
    ['another number', '{"ro":"2","work":[]}', 422, /is not the number it was sent to/],
    ['a form', 'ro=1', 415, /application\/json/, { 'content-type': 'text/plain' }],
    ['a strange revision', '{"ro":"1","work":[]}', 422, /if-match: wants a revision/, { 'if-match': 'three' }],
    ['a megabyte', `{"ro":"1","work":[],"note":"${'x'.repeat(1_100_000)}"}`, 413, /at most 1000000 bytes/],
  ];
  test.each(bad)('refuse %s with a sentence, and keep nothing', async (_what, body, status, sentence, headers) => {
    const answer = await shop.send('/api/jobs/1', {
      method: 'PUT',
      headers: { 'content-type': 'application/json', ...headersOf(desk), ...headers },
      body,
    });
    expect(answer.status).toBe(status);
    expect(((await answer.json()) as { error: string }).error).toMatch(sentence);
    expect(await shop.doors.drafts.list()).toEqual([]);
  });

  test('that are not there are 404 with a sentence', async () => {
    const answer = await get('/api/jobs/9');
    expect([answer.status, await answer.json()]).toEqual([404, { error: 'there is no job 9' }]);
  });
});

describe('rules over http', () => {
  test('come whole, so that a page reads the same rulebook', async () => {
    const bundle = (await (await shop.send('/api/rules')).json()) as typeof rules;
    const { rulebook, faults } = loadRulebook(new Map(Object.entries(bundle.files)));
    expect(faults).toEqual([]);
    expect(rulebook.version).toBe(bundle.version);
    expect(await (await shop.send('/api/health')).json()).toEqual({ ok: true, rules: bundle.version, flaws: 0 });
  });

  test('are not sent again to who has them, and for ever under their version', async () => {
    const first = await shop.send('/api/rules');
    const again = await shop.send('/api/rules', { headers: { 'if-none-match': first.headers.get('etag') ?? '' } });
    expect(again.status).toBe(304);
    const pinned = await shop.send(`/api/rules/${rules.version}`);
    expect(pinned.headers.get('cache-control')).toContain('immutable');
    const gone = await shop.send('/api/rules/0123');
    expect([gone.status, await gone.json()]).toEqual([
      404,
      { error: `rulebook 0123 is not here; in force is ${rules.version}` },
    ]);
  });
});

describe('the page', () => {
  test('is served with a policy that lets nothing in from outside, and never asks for https', async () => {
    const page = await shop.send('/');
    expect(page.status).toBe(200);
    const policy = page.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('upgrade-insecure-requests');
    // WebAssembly may be compiled (the bar-code reader); no text may become script.
    expect(policy).not.toMatch(/'unsafe|https?:|\*/);
    expect(page.headers.get('strict-transport-security')).toBeNull();
    expect(page.headers.get('x-content-type-options')).toBe('nosniff');
  });

  test('is asked for each time, what it loads is kept', async () => {
    expect((await shop.send('/')).headers.get('cache-control')).toBe('no-cache');
    expect((await shop.send('/assets/index-abc.js')).headers.get('cache-control')).toContain('immutable');
  });

  test('has its WebAssembly served as such: a browser compiles no other', async () => {
    writeFileSync(`${shop.folder}/page/assets/reader-abc.wasm`, '');
    const answer = await shop.send('/assets/reader-abc.wasm');
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'application/wasm']);
  });

  test.each(['/../package.json', '/..%2fpackage.json', '/%2e%2e/package.json', '/no-such-page'])(
    'does not give %s',
    async (path) => {
      expect((await shop.send(path)).status).toBe(404);
    },
  );

  test('answers a call that is none with a sentence', async () => {
    const answer = await shop.send('/api/nothing', { method: 'POST' });
    expect([answer.status, await answer.json()]).toEqual([404, { error: 'there is nothing at POST /api/nothing' }]);
  });
});

describe('the invented shop', () => {
  test('is put in once, and never into a shop where somebody works', async () => {
    await seedDemo(shop.doors, shop.now);
    expect(await shop.doors.drafts.list()).toEqual([]);
    const empty = await TestShop.open();
    await seedDemo(empty.doors, empty.now);
    await seedDemo(empty.doors, empty.now);
    expect((await empty.doors.drafts.list()).map(({ ro }) => ro)).toEqual(demoJobs.map(({ ro }) => ro));
    await empty.close();
  });

  test('has a job under way, one to be checked, one released and one that came back', async () => {
    const empty = await TestShop.open();
    await seedDemo(empty.doors, empty.now);
    const { rulebook } = loadRulebook(new Map(Object.entries(rules.files)));
    const seen = new Map<string, Plan>();
    for (const { job } of await empty.doors.log.heads()) {
      const record = await empty.doors.log.read(job);
      seen.set(job, plan(fold(record?.events ?? []), rulebook));
    }
    const stages = (ro: string) => seen.get(ro)?.items.map(({ stage }) => stage);
    expect(stages('48181')).toEqual(expect.arrayContaining(['took', 'did-not-take', 'sent-out', 'running', 'open']));
    const timers = timersOf([sightOf(seen.get('48181')?.job as Job, rulebook)], () => rulebook);
    expect(timers.map(({ ends }) => ends > empty.now.getTime())).toEqual([true]);
    const open = refusals(seen.get('48167') as Plan);
    expect([open.length > 1, new Set(open.map(({ rule }) => rule))]).toEqual([true, new Set(['unchecked'])]);
    expect(seen.get('48152')?.job.status).toBe('released');
    expect(seen.get('48190')?.job.cameBack).toMatchObject({ ro: '48152' });
    for (const { job } of seen.values()) {
      const vin = job.vehicle.vin ?? '';
      expect([vin, checkDigit(vin).agrees, rulebook.makerBook?.codes[vin.slice(0, 3)]]).toEqual([vin, true, undefined]);
    }
    await empty.close();
  });

  test.each(demoJobs.map((job) => [job.ro, job] as const))(
    '%s can be planned, and its invented VIN checks',
    (_ro, job) => {
      const { rulebook } = loadRulebook(new Map(Object.entries(rules.files)));
      expect(readFacts(job, rulebook).faults).toEqual([]);
      const vin = job.vehicle?.vin ?? '';
      expect(checkDigit(vin).agrees).toBe(true);
      // No maker has this code: the car cannot be anybody's.
      expect(rulebook.makerBook?.codes).not.toHaveProperty(vin.slice(0, 3));
    },
  );
});

describe('serve', () => {
  test('says that a port is none, and exits with 2', async () => {
    const { code, errors } = await run('--port', '70000');
    expect([code, errors]).toEqual([2, expect.stringContaining('it wants a number from 0 to 65535')]);
  });
});

async function get(path: string): Promise<Response> {
  return shop.send(path, { headers: headersOf(desk) });
}

async function send(ro: string, job: unknown, headers: Record<string, string> = {}): Promise<Response> {
  return shop.send(`/api/jobs/${encodeURIComponent(ro)}`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', ...headersOf(desk), ...headers },
    body: JSON.stringify(job),
  });
}

async function run(...args: string[]): Promise<{ code: number; errors: string }> {
  const child = spawn(
    process.execPath,
    ['--import', 'tsx', 'src/cli/main.ts', 'serve', '--data', `${shop.folder}/cli`, ...args],
    { cwd: top },
  );
  let errors = '';
  child.stderr.on('data', (chunk: Buffer) => (errors += chunk.toString()));
  const [code] = (await once(child, 'close')) as [number];
  return { code, errors };
}
