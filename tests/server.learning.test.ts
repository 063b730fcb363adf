import { afterAll, beforeAll, expect, test } from 'vitest';
import { fold } from '../src/job/evolve.ts';
import { plan } from '../src/job/plan.ts';
import { safetyLines } from '../src/job/unfinished.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { Lessons, type LearnedSoFar } from '../src/server/learning.ts';
import { TestShop } from './server.shop.ts';
import { headersOf, type SignedIn } from './signed-in.ts';

let shop: TestShop;
let foreman: SignedIn;
let hands: SignedIn;

beforeAll(async () => {
  const free = { calls: 1e6, seconds: 1 };
  shop = await TestShop.open({ limits: { address: free, door: free, person: free } });
  foreman = await shop.person('Ida Foreman', 'foreman');
  hands = await shop.person('Tom Hands', 'technician');
});

afterAll(async () => {
  await shop.close();
});

async function learned(who = foreman): Promise<LearnedSoFar> {
  const answer = await shop.send('/api/learning', { headers: headersOf(who) });
  expect(answer.status).toBe(200);
  return (await answer.json()) as LearnedSoFar;
}

test('what is written since is counted, what is not is not read again, and nobody is named', async () => {
  expect(await learned()).toMatchObject({ jobs: 0, read: 0, counted: 0, rules: [] });
  await shop.said(
    hands,
    '1',
    shop.opened('1'),
    { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } },
    { type: 'item-noted', step: 'injector-code-entry', was: 'missing', note: 'it has one' },
    { type: 'item-noted', was: 'missing', note: 'the sticker' },
  );
  const first = await learned();
  expect(first).toMatchObject({ jobs: 1, read: 1, counted: 0, missing: [{ ro: '1', note: 'the sticker' }] });
  expect(first.rules).toMatchObject([
    { followUp: 'injector-code-entry', asked: 0, notes: [{ was: 'missing', note: 'it has one' }] },
  ]);
  // Its person is not in it, under any name.
  expect(JSON.stringify(first)).not.toMatch(/Tom|Ida|Foreman/);

  const reads: string[] = [];
  const { log } = shop.doors;
  const watched = new Proxy(log, {
    get: (of, name: keyof typeof log) =>
      name === 'read' ? (ro: string) => (reads.push(ro), of.read(ro)) : (of[name] as () => unknown).bind(of),
  });
  const lessons = new Lessons({ log: watched, rulebooks: shop.doors.rulebooks });
  await lessons.learned();
  await lessons.learned();
  expect(reads).toEqual(['1']);
  await shop.said(foreman, '1', { type: 'line-struck', line: lineOf(await log.read('1')), because: 'mistyped' });
  await shop.said(hands, '2', shop.opened('2'));
  await lessons.learned();
  expect(reads.toSorted()).toEqual(['1', '1', '2']);
});

test('a finished job counts for every rule on its list, by what called for it', async () => {
  await shop.said(
    hands,
    '3',
    shop.opened('3'),
    { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } },
    { type: 'work-done' },
  );
  const { log, rulebooks } = shop.doors;
  const book = (await rulebooks.rulebook(rulebooks.inForce.version)) as Rulebook;
  const lines = safetyLines(plan(fold((await log.read('3'))?.events ?? []), book)).map(({ text }) => text);
  await shop.said(foreman, '3', { type: 'left-unfinished', foreman: 'Ida Foreman', customer: 'Cy Customer', lines });
  const { counted, rules } = await learned();
  expect(counted).toBe(1);
  const called = rules.filter(({ asked }) => asked > 0);
  expect(called.length).toBeGreaterThan(0);
  for (const rule of called) {
    expect(rule.done + rule.skipped + rule.overridden).toBe(rule.asked);
    expect(rule.triggers.length).toBeGreaterThan(0);
  }
});

test('a call that can not wait is answered with what has been read so far', async () => {
  const lessons = new Lessons(shop.doors, 0);
  const early = await lessons.learned();
  expect(early.read).toBeLessThanOrEqual(early.jobs);
  await expect.poll(async () => (await lessons.learned()).read).toBe((await learned()).jobs);
});

test('it is the foreman’s and the keeper’s', async () => {
  const keeper = await shop.person('Kay Keeper', 'keeper');
  expect((await learned(keeper)).jobs).toBeGreaterThan(0);
  expect((await shop.send('/api/learning', { headers: headersOf(hands) })).status).toBe(403);
  expect((await shop.send('/api/learning')).status).toBe(401);
});

function lineOf(record: { events: readonly object[] } | undefined): string {
  const added = record?.events.find((event) => (event as { type: string }).type === 'line-added');
  return (added as { id: string }).id;
}
