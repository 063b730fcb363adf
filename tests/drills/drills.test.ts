import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { SQLITE } from '../../src/store/log/columns.ts';
import { migrations } from '../../src/store/log/migrations.ts';
import { levelOf } from '../../src/store/log/level.ts';
import { openShop } from '../../src/store/open.ts';
import { noPostgres, startPostgres } from '../postgres.ts';
import { customer, vin } from '../store.events.ts';
import { layDown, levels, PHOTO, RULES } from './levels.ts';
import { restoreDrill } from './restore.ts';
import { upgradeDrill, wayBackDrill } from './upgrade.ts';

const LONG = 180_000;

const hasTools = ['pg_dump', 'pg_restore', 'psql'].every((tool) => spawnSync(tool, ['--version']).status === 0);
if (!hasTools) console.warn('skipped: pg_dump, pg_restore or psql is not on this machine');

describe('the record is lost and the copy put back', () => {
  const holds = async (database?: string) => {
    const told = await restoreDrill({ events: 40, ...(database === undefined ? {} : { database }) });
    expect([told.before >= 40, told.after >= 40]).toEqual([true, true]);
    expect([told.lost, told.refused, told.sameAgain]).toEqual([[], [], true]);
    expect(told.taken + told.ofLostJobs).toBe(told.queued);
    expect(told.taken).toBeGreaterThanOrEqual(6);
    for (const verified of told.verified) expect(verified).toMatch(/^\d+ jobs, \d+ events: 0 flaws, 0 photos awaited$/);
  };

  test('from a file', () => holds(), LONG);

  test.skipIf(noPostgres !== undefined || !hasTools)(
    'from a dump of PostgreSQL',
    async () => {
      const postgres = await startPostgres();
      try {
        await holds(postgres.url);
      } finally {
        await postgres.stop();
      }
    },
    LONG,
  );
});

test(
  'under another rulebook open jobs go on under theirs, and new ones use the new one',
  async () => {
    const { rules, pinned, taken, refused, served, late, lost } = await upgradeDrill();
    expect(rules.before).not.toBe(rules.after);
    expect(pinned).toEqual({ open: rules.before, fresh: rules.after });
    expect([taken, refused, lost]).toEqual([3, [], []]);
    expect(served).toEqual({ before: true, after: true });
    expect(late).toContain(`Rulebook ${rules.before} is not in force, ${rules.after} is: load the page anew`);
  },
  LONG,
);

test(
  'from a newer program there is a way back on which nothing is lost',
  async () => {
    const { refusal, untouched, imported, lost, acknowledged, verified } = await wayBackDrill();
    expect([refusal?.code, refusal?.says]).toEqual([
      2,
      expect.stringMatching(/was written by a newer program: bring this one up to date/) as string,
    ]);
    expect(untouched).toBe(true);
    expect(imported).toMatchObject({ code: 0, err: '' });
    // Three jobs of six before, one more on each, and three of six since.
    expect(acknowledged).toBe(39);
    expect(lost).toEqual([]);
    expect(verified.err).toBe('6 jobs, 39 events: 0 flaws, 0 photos awaited\n');
  },
  LONG,
);

describe('a record of each step of migration', () => {
  let folder: string;

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'lastbolt-level-'));
  });

  afterEach(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  const tables = (path: string) => {
    const file = new Database(path);
    const rows = file
      .prepare(
        `select m.name as "table", c.name, c.type, c."notnull", c.pk from sqlite_master m, pragma_table_info(m.name) c
         where m.type = 'table' order by 1, 2`,
      )
      .all();
    file.close();
    return rows;
  };

  test('is kept for every one (write a new one with `npx tsx tests/drills/levels.ts`)', () => {
    expect(levels()).toEqual(Object.keys(migrations(SQLITE)));
  });

  test.each(levels())('%s is brought up to date with all that was in it', async (level) => {
    layDown(level, folder);
    expect(await levelOf(folder)).toBe(level === levels().at(-1) ? 'same' : 'older');
    const shop = await openShop(folder, RULES);
    try {
      expect(shop.flaws).toEqual([]);
      const one = await shop.log.read('48201');
      expect([one?.status, one?.rulebook, one?.entries.length]).toEqual(['open', 'r1', 4]);
      expect(one?.entries[1]?.event).toMatchObject({ vehicle: { vin } });
      const two = await shop.log.read('48202');
      expect(two?.status).toBe('left-unfinished');
      expect(two?.entries[2]?.event).toMatchObject({ customer });
      expect(String(two?.entries[1]?.event['by'])).toMatch(/^removed/);
      const shown = one?.entries[3]?.event as unknown as { hash: string };
      expect((await shop.log.photo(shown.hash))?.bytes).toEqual(PHOTO);
      if (level < '003') return;
      expect(await shop.people.signIn('ona-brandt', '2468', new Date())).toMatchObject({ name: 'Ona Brandt' });
      expect((await shop.settings.get()).shop.name).toBe('Shop of then');
      expect((await shop.drafts.list()).map(({ ro }) => ro)).toEqual(['48203']);
    } finally {
      await shop.close();
    }
  });

  test.each(levels())('%s has the same tables then as a record that is made today', async (level) => {
    layDown(level, folder);
    await (await openShop(folder, RULES)).close();
    const fresh = mkdtempSync(join(folder, 'fresh-'));
    await (await openShop(fresh, RULES)).close();
    expect(tables(join(folder, 'record.db'))).toEqual(tables(join(fresh, 'record.db')));
  });
});
