import { mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Running, startServer } from '../src/server/serve.ts';
import { readOpenMetrics } from './metrics.openmetrics.ts';

/** A server of two sites, with figures for a token and its log in a file. */
const folder = mkdtempSync(join(tmpdir(), 'lastbolt-figures-'));
const at = (...names: string[]) => join(folder, ...names);
const TOKEN = 'token-of-a-test-0123';
let server: Running;

beforeAll(async () => {
  mkdirSync(at('page'));
  writeFileSync(at('page', 'index.html'), '<!doctype html>');
  server = await startServer({
    port: 0,
    data: at('data'),
    page: at('page'),
    sites: { north: { name: 'North', hosts: ['north.test'] }, south: { name: 'South', hosts: ['south.test'] } },
    metrics: { token: TOKEN },
    log: { file: at('logs', 'server.log') },
  });
}, 60_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Fetch does not let the name be set under which a server is asked. */
function ask(
  host: string,
  path: string,
  headers: Record<string, string> = {},
): Promise<{ status: number; text: string }> {
  const port = Number(new URL(server.url).port);
  return new Promise((done, failed) => {
    const sent = request({ host: '127.0.0.1', port, path, headers: { host, ...headers } }, (answer) => {
      let text = '';
      answer.on('data', (chunk: Buffer) => (text += chunk.toString()));
      answer.on('end', () => done({ status: answer.statusCode ?? 0, text }));
    });
    sent.on('error', failed).end();
  });
}

const lines = (path: string) =>
  readFileSync(path, 'utf8')
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as Record<string, unknown>);

test('figures are told apart by site, and given to whoever has the token, whatever name was asked', async () => {
  for (let i = 0; i < 3; i++) expect((await ask('north.test', '/api/health')).status).toBe(200);
  expect((await ask('south.test', '/api/health')).status).toBe(200);
  for (const host of ['north.test', 'localhost', 'elsewhere.test']) {
    expect((await ask(host, '/metrics')).status).toBe(401);
    const { status, text } = await ask(host, '/metrics', { authorization: `Bearer ${TOKEN}` });
    const calls = readOpenMetrics(text).get('lastbolt_calls')?.samples ?? [];
    const of = (site: string) => calls.find(({ labels }) => labels['site'] === site)?.value;
    expect([status, of('north'), of('south')]).toEqual([200, 3, 1]);
  }
});

test('the log lies in its file, of each line the site; moved away, it goes on in a new one, to the last', async () => {
  await ask('north.test', '/api/health');
  await expect
    .poll(() => lines(at('logs', 'server.log')).at(-1))
    .toMatchObject({ site: 'north', route: 'GET /api/health', status: 200 });
  expect(statSync(at('logs', 'server.log')).mode & 0o777).toBe(0o600);
  renameSync(at('logs', 'server.log'), at('logs', 'yesterday.log'));
  server.reopenLog();
  for (let i = 0; i < 5; i++) await ask('south.test', '/api/health');
  await server.close();
  const [before, after] = [lines(at('logs', 'yesterday.log')), lines(at('logs', 'server.log'))];
  expect(after.map(({ site }) => site)).toEqual(Array.from({ length: 5 }, () => 'south'));
  expect(before.length + after.length).toBe(4 + 1 + 5);
});
