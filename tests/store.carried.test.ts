import { join } from 'node:path';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { loadRulebook } from '../src/rulebook/load.ts';
import { openShop } from '../src/store/open.ts';
import type { RuleBundle } from '../src/store/shop/rulebooks.ts';
import { builtCli } from './built-cli.ts';
import { rules } from './server.shop.ts';
import { by, line, opened } from './store.events.ts';

// Each starts several processes, and the machine may be at other things.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

/** The rulebook as it was before: one sentence in it was another. */
const older = changed(rules, (text) => text.replace('"title": "', '"title": "Former '));
const others = changed(rules, (text) => text.replace('"title": "', '"title": "Other '));

const { work, lastbolt, file } = builtCli('carried');
const at = (name: string) => join(work, name);
let out: string;

beforeAll(async () => {
  await withShop(at('here'), older, async ({ log }) => {
    await log.append('a', 0, [pinned('a', older.version), line('a2')]);
    await log.append('b', 0, [pinned('b', older.version)]);
  });
  await withShop(at('here'), rules, async ({ log }) => {
    await log.append('c', 0, [pinned('c', rules.version)]);
    await log.append('b', 1, [
      {
        type: 'rulebook-changed',
        v: 1,
        id: 'b2',
        at: '2026-11-25T10:00:00Z',
        by,
        from: older.version,
        to: rules.version,
        shown: [],
      },
    ]);
    await log.append('d', 0, [pinned('d', '0123456789abcdef')]);
  });
  out = (await lastbolt(['export', '--all', '--data', 'here'])).out;
});

const lines = () => out.trim().split('\n');
const kinds = () => lines().map((text) => JSON.parse(text) as { job?: string; version?: string });

test('each rulebook stands once, before the first job that names it', async () => {
  expect(kinds().map(({ job, version }) => job ?? version)).toEqual([older.version, 'a', rules.version, 'b', 'c', 'd']);
  const one = await lastbolt(['export', 'd', '--data', 'here']);
  expect([one.code, one.err]).toEqual([0, 'rulebook 0123456789abcdef is not kept here: job d goes without it\n']);
  const bare = await lastbolt(['export', '--all', '--jobs-only', '--data', 'here']);
  expect(bare.out.trim().split('\n')).toEqual(lines().filter((_, i) => kinds()[i]?.job !== undefined));
});

test('what is taken in elsewhere is the same rulebook, can be read, and is not in force there', async () => {
  const jobs = file('all.jsonl', out);
  const taken = await lastbolt(['import', jobs, '--data', 'there']);
  expect(taken).toMatchObject({ code: 0, err: '' });
  expect(taken.out).toContain(`rulebook ${older.version}: kept\n`);
  expect((await lastbolt(['import', jobs, '--data', 'there'])).out).toContain(
    `rulebook ${older.version}: it is here already\n`,
  );
  expect((await lastbolt(['export', '--all', '--data', 'there'])).out).toBe(out);
  await withShop(at('there'), others, async ({ rulebooks }) => {
    const book = await rulebooks.rulebook(older.version);
    expect(book?.version).toBe(older.version);
    expect(await rulebooks.bundle(older.version)).toEqual(older);
    expect(await rulebooks.supersededAt(older.version)).toBeUndefined();
    expect(await rulebooks.supersededAt(rules.version)).toBeUndefined();
  });
  // Put in force there later, it is superseded like any other.
  await withShop(at('there'), older, async () => {}, new Date('2030-01-01T00:00:00Z'));
  await withShop(
    at('there'),
    changed(rules, (text) => text.replace('"title": "', '"title": "Later ')),
    async ({ rulebooks }) => expect(await rulebooks.supersededAt(older.version)).toBe('2030-02-01T00:00:00.000Z'),
    new Date('2030-02-01T00:00:00Z'),
  );
});

test('jobs from before rulebooks were carried are still taken in', async () => {
  const jobs = file('jobs.jsonl', lines().slice(1, 2).join('\n'));
  expect(await lastbolt(['import', jobs, '--data', 'bare'])).toMatchObject({ code: 0, out: 'job a: 2 events added\n' });
});

describe('taken in is none', () => {
  test.each([
    [
      'a rulebook that was changed on the way',
      (text: string) => text.replace('Former', 'Formed'),
      /was changed after it was written/,
    ],
    [
      'one under the name of another',
      (text: string) => text.replace(older.version, rules.version),
      /its files come to version/,
    ],
    [
      'one without files',
      () => JSON.stringify({ format: 'lastbolt-rulebook', v: 1, version: older.version }),
      /#\/files/,
    ],
    ['one of a later form', (text: string) => text.replace('"v":1,', '"v":2,'), /#\/v/],
  ])('%s', async (_, spoil, says) => {
    const jobs = file('spoilt.jsonl', [spoil(lines()[0] as string), lines()[1]].join('\n'));
    const taken = await lastbolt(['import', jobs, '--data', 'spoilt']);
    expect(taken).toMatchObject({ code: 1, out: '', err: expect.stringMatching(says) as string });
    expect(taken.err).toContain('spoilt.jsonl, line 1: ');
  });
});

test('a comeback is judged by the rulebook that came with the job', async () => {
  const job = file('a.jsonl', lines().slice(0, 2).join('\n'));
  const { code, err, out: told } = await lastbolt(['comeback', job, '--says', 'idles high']);
  expect([err, told.includes('it came back')]).toEqual(['', true]);
  expect(code).toBeLessThan(2);
  const without = await lastbolt(['comeback', file('a1.jsonl', lines()[1] as string), '--says', 'idles high']);
  expect(without).toMatchObject({
    code: 2,
    err: expect.stringContaining(`is pinned to rulebook ${older.version}`) as string,
  });
  const both = await lastbolt(['comeback', file('ab.jsonl', lines().slice(0, 4).join('\n')), '--says', 'idles high']);
  expect(both.err).toBe('ab.jsonl: holds 2 jobs; export one by its RO\n');
});

function pinned(ro: string, version: string) {
  return { ...opened(ro), rulebook: version };
}

function changed(from: RuleBundle, change: (text: string) => string): RuleBundle {
  const files = Object.fromEntries(
    Object.entries(from.files).map(([name, text]) => [
      name,
      name === 'engine/idle-air-learn.json' ? change(text) : text,
    ]),
  );
  return { version: loadRulebook(new Map(Object.entries(files))).rulebook.version, files };
}

async function withShop(
  folder: string,
  inForce: RuleBundle,
  work_: (shop: Awaited<ReturnType<typeof openShop>>) => Promise<void>,
  when?: Date,
): Promise<void> {
  const shop = await openShop(folder, inForce, when ? { now: () => when } : {});
  await work_(shop);
  await shop.close();
}
