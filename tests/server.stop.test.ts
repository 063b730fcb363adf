import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Calls } from '../src/server/calls.ts';
import { startServer } from '../src/server/serve.ts';
import { openLog } from '../src/store/log/log.ts';
import { rules } from './server.shop.ts';
import { headersOf, json, signUp } from './signed-in.ts';

let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-stop-'));
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'page/index.html'), '<!doctype html>');
});

afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

test('a server that is stopped ends its streams, finishes what it was told, and keeps it', async () => {
  const data = join(folder, 'data');
  const lines: object[] = [];
  const server = await startServer({
    port: 0,
    data,
    demo: false,
    page: join(folder, 'page'),
    tell: (line) => void lines.push(line),
  });
  expect(server.firstCode).toMatch(/^[A-HJ-NP-Z2-9]{8}$/);
  const who = await signUp(server.url, server.firstCode ?? '');
  const stream = await fetch(`${server.url}api/live`, { headers: headersOf(who) });
  const at = new Date().toISOString();
  const commands = [
    { type: 'opened', id: 'o', at, by: 'Ona Brandt', ro: '1', rulebook: rules.version, units: 'metric' },
    ...Array.from({ length: 20 }, (_, i) => ({
      type: 'line-added',
      id: `l${i}`,
      at,
      by: 'Ona Brandt',
      line: { part: 'windscreen', did: 'replaced' },
    })),
  ];
  const said = fetch(`${server.url}api/records/1`, json({ commands }, headersOf(who))).catch(() => undefined);
  // The call has come in and is being decided.
  await new Promise((done) => setTimeout(done, 60));
  const closed = server.close();
  expect(await stream.text()).toContain('event: ended');
  const answer = await said;
  await closed;
  const { log, flaws } = await openLog(data);
  const version = (await log.head('1'))?.version;
  await log.close();
  // Whichever was first: what was acknowledged is there, what was refused or never answered is not.
  const kept = answer?.status === 200;
  expect([answer?.status, version, flaws]).toEqual([kept ? 200 : answer && 503, kept ? 21 : undefined, []]);
  await expect(fetch(`${server.url}api/health`)).rejects.toThrow();
});

test('the end waits for every call that has begun, however long it takes, and lets no other in', async () => {
  const calls = new Calls();
  const told: string[] = [];
  const gates: (() => void)[] = [];
  const begun = ['one', 'two'].map((name) =>
    calls.during(async () => {
      await new Promise<void>((open) => gates.push(open));
      told.push(name);
    }),
  );
  const ended = calls.end().then(() => told.push('end'));
  await expect(calls.during(() => Promise.resolve())).rejects.toThrow(/is being closed/);
  for (const open of gates) {
    await new Promise((done) => setTimeout(done, 5));
    open();
  }
  await Promise.all([...begun, ended]);
  expect(told).toEqual(['one', 'two', 'end']);
  await new Calls().end();
});
