import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openLog, type SqlLog } from '../src/store/log/log.ts';
import { left, line, opened, photo } from './store.events.ts';

const DAY = 24 * 3_600_000;
const start = new Date('2026-09-01T09:00:00Z');

let folder: string;
let now: Date;
let log: SqlLog;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-stray-'));
  now = start;
  ({ log } = await openLog(folder, { now: () => now }));
});

afterEach(async () => {
  await log.close();
  rmSync(folder, { recursive: true, force: true });
});

const put = (n: number) => log.putPhoto(Uint8Array.of(0xff, 0xd8, 0xff, n), 'image/jpeg');

test('a photo that no event shows is a stray after thirty days, and is taken out only then', async () => {
  const [shown, stray] = [await put(1), await put(2)];
  await log.append('a', 0, [opened('a'), photo('p', shown)]);
  now = new Date(start.getTime() + 20 * DAY);
  const young = await put(3);
  for (const [days, strays] of [
    [29, []],
    [30, [stray]],
    [49, [stray]],
  ] as const) {
    now = new Date(start.getTime() + days * DAY);
    expect((await log.strays()).map(({ hash }) => hash)).toEqual(strays);
  }
  expect(await log.dropStrays()).toBe(1);
  expect(await log.dropStrays()).toBe(0);
  expect(await log.photo(stray)).toBeUndefined();
  for (const hash of [shown, young]) expect(await log.photo(hash)).toMatchObject({ hash });
});

test('is shown wherever an event speaks of it, among however many events', async () => {
  const hashes = await Promise.all([10, 11, 12].map(put));
  const events = Array.from({ length: 700 }, (_, i) => line(`l${i}`, hashes[0]));
  await log.append('many', 0, [opened('many'), ...events, photo('p', hashes[1] as string)]);
  now = new Date(start.getTime() + 60 * DAY);
  // The words of a line are no photo, whatever they look like.
  expect(new Set((await log.strays()).map(({ hash }) => hash))).toEqual(new Set([hashes[0], hashes[2]]));
});

test('one that was removed by hand is none: its hash stays', async () => {
  const hash = await put(1);
  await log.removePhoto(hash);
  now = new Date(start.getTime() + 60 * DAY);
  expect(await log.strays()).toEqual([]);
});

test('figures of the record name no job', async () => {
  await log.append('RO-SECRET', 0, [opened('RO-SECRET'), line('2')]);
  await log.append('b', 0, [opened('b'), left('2')]);
  const before = await log.measure();
  expect(before).toMatchObject({
    jobs: { open: 1, released: 0, 'left-unfinished': 1 },
    events: 4,
    written: start.toISOString(),
  });
  expect(JSON.stringify(before)).not.toContain('RO-SECRET');
  await log.putPhoto(new Uint8Array(500_000).fill(7), 'image/png');
  expect((await log.measure()).bytes - before.bytes).toBeGreaterThan(490_000);
});
