import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openLogOut } from '../src/server/logfile.ts';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-log-'));
  file = join(folder, 'logs', 'server.log');
});

afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Line {
  readonly n: number;
}

const told = (path: string): number[] => {
  const bytes = readFileSync(path);
  const text = (path.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('utf8');
  expect(text === '' || text.endsWith('\n')).toBe(true);
  return text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => (JSON.parse(line) as Line).n);
};

/** Oldest first: the higher the number, the older. */
const all = (): number[] => {
  const names = readdirSync(join(folder, 'logs')).map((name) => join(folder, 'logs', name));
  const age = (path: string) => Number(/\.log\.(\d+)/.exec(path)?.[1] ?? 0);
  return names.sort((a, b) => age(b) - age(a)).flatMap(told);
};

const upTo = (n: number) => Array.from({ length: n }, (_, i) => i);
const padded = (n: number) => ({ n, route: 'GET /api/health', pad: 'x'.repeat(1000) });

describe('files that are put aside', () => {
  test.each([
    [true, '.gz'],
    [false, ''],
  ])('lose no line and keep their order, compressed: %s', async (compress, ending) => {
    const out = openLogOut({ file, size: 1, keep: 20, compress });
    for (const n of upTo(5000)) {
      out.tell(padded(n));
      // Now and then in bursts, now and then one by one.
      if (n % 700 < 20) await new Promise((done) => setImmediate(done));
    }
    await out.close();
    const names = readdirSync(join(folder, 'logs')).sort();
    expect(names).toEqual(['server.log', ...[1, 2, 3, 4].map((n) => `server.log.${n}${ending}`)]);
    expect(all()).toEqual(upTo(5000));
    expect(statSync(file).mode & 0o777).toBe(0o600);
  });

  test('are so many and no more, the oldest gone first', async () => {
    const out = openLogOut({ file, size: 1, keep: 2, compress: false });
    for (const n of upTo(5000)) out.tell(padded(n));
    await out.close();
    const left = all();
    expect(readdirSync(join(folder, 'logs')).length).toBe(3);
    expect(left).toEqual(upTo(5000).slice(-left.length));
  });

  test('go on after a restart', async () => {
    for (const start of [0, 1500]) {
      const out = openLogOut({ file, size: 1, keep: 9 });
      for (const n of upTo(1500)) out.tell(padded(start + n));
      await out.close();
    }
    expect(all()).toEqual(upTo(3000));
  });
});

test('a file that was moved away is left, and a new one begun, between two lines', async () => {
  const out = openLogOut({ file });
  const aside = join(folder, 'aside.log');
  for (const n of upTo(100)) out.tell({ n });
  await until(() => existsSync(file) && told(file).length === 100);
  renameSync(file, aside);
  out.tell({ n: 100 });
  out.reopen();
  for (const n of upTo(100)) out.tell({ n: 101 + n });
  out.reopen();
  out.tell({ n: 201 });
  await out.close();
  expect(told(aside)).toEqual(upTo(101));
  expect(told(file)).toEqual(upTo(202).slice(101));
});

test('what can not be written to the file goes to standard error, and holds nobody up', async () => {
  const strays: string[] = [];
  mkdirSync(join(folder, 'logs'));
  mkdirSync(file);
  const out = openLogOut({ file }, (text) => strays.push(text));
  for (const n of upTo(3)) out.tell({ n });
  await until(() => strays.length >= 4);
  out.tell({ n: 3 });
  await out.close();
  const lines = strays.map((text) => JSON.parse(text) as Record<string, unknown>);
  expect(lines[0]).toMatchObject({ failed: 'log', error: expect.stringContaining(file) as string });
  expect(lines.slice(1).map(({ n }) => n)).toEqual(upTo(4));
});

test('without a file each line goes to standard error', async () => {
  const strays: string[] = [];
  const out = openLogOut(undefined, (text) => strays.push(text));
  out.tell({ n: 0 });
  out.reopen();
  await out.close();
  expect(strays).toEqual(['{"n":0}\n']);
});

async function until(so: () => boolean): Promise<void> {
  for (let left = 500; left > 0 && !so(); left--) await new Promise((done) => setTimeout(done, 10));
  expect(so()).toBe(true);
}
