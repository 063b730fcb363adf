import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { sql } from 'kysely';
import Database from 'libsql';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { JobFile } from '../src/resolve/facts.ts';
import type { Store } from '../src/store/log/transact.ts';
import { openSqlite } from '../src/store/log/open.ts';
import { Jobs, OnRecord, Overtaken } from '../src/store/jobs.ts';
import { SqlLog } from '../src/store/log/log.ts';
import { People } from '../src/store/shop/people.ts';
import { takeOverDrafts } from '../src/store/shop/take-over.ts';
import { opened } from './store.events.ts';
import { type Ground, kinds } from './store.places.ts';

const job = (ro: string, ...parts: string[]): JobFile => ({
  ro,
  work: parts.map((part) => ({ part, did: 'replaced' })),
});
const AT = '2026-11-25T09:00:00.000Z';

describe.each(kinds())('what a shop keeps in $name', (kind) => {
  describe.skipIf(kind.absent)('as in any database', () => {
    let ground: Ground;
    let store: Store;
    let jobs: Jobs;
    beforeAll(() => kind.begin(), 60_000);
    afterAll(() => kind.end());
    beforeEach(async () => {
      ground = await kind.fresh();
      store = await ground.open();
      jobs = new Jobs(store);
    });
    afterEach(async () => {
      await store.close();
      await ground.end();
    });

    describe('jobs', () => {
      test('come back as they were put, with a revision that counts up', async () => {
        expect(await jobs.put(job('1', 'windscreen'), 'r1', AT)).toMatchObject({
          ro: '1',
          revision: 1,
          rules: 'r1',
          updated: AT,
        });
        expect(await jobs.put(job('1', 'windscreen', 'battery-12v'), 'r2', AT)).toMatchObject({
          revision: 2,
          rules: 'r2',
        });
        expect((await jobs.get('1'))?.job).toEqual(job('1', 'windscreen', 'battery-12v'));
        expect(await jobs.get('2')).toBeUndefined();
      });

      test.each(['48/213', "4'; drop table jobs; --", 'Ä 12', '..', '0'])('take the number %s as it is', async (ro) => {
        await jobs.put(job(ro), 'r', AT);
        expect((await jobs.get(ro))?.ro).toBe(ro);
        expect((await jobs.list()).map((kept) => kept.ro)).toEqual([ro]);
      });

      test('are listed with the last one touched first', async () => {
        await jobs.put(job('old'), 'r', '2026-11-25T08:00:00.000Z');
        await jobs.put(job('new'), 'r', '2026-11-25T10:00:00.000Z');
        await jobs.put(job('between'), 'r', '2026-11-25T09:00:00.000Z');
        expect((await jobs.list()).map(({ ro }) => ro)).toEqual(['new', 'between', 'old']);
      });

      test('refuse a change that stands on an old revision, and say what stands now', async () => {
        await jobs.put(job('1'), 'r', AT, 0);
        await jobs.put(job('1', 'windscreen'), 'r', AT, 1);
        const late = jobs.put(job('1', 'battery-12v'), 'r', AT, 1);
        await expect(late).rejects.toThrow(Overtaken);
        await expect(late).rejects.toThrow(/job 1 was changed elsewhere at 2026-11-25T09:00:00.000Z \(revision 2\)/);
        expect((await jobs.get('1'))?.job).toEqual(job('1', 'windscreen'));
      });

      test('of two changes on one revision exactly one is taken', async () => {
        await jobs.put(job('1'), 'r', AT, 0);
        const both = await Promise.allSettled([
          jobs.put(job('1', 'a'), 'r', AT, 1),
          jobs.put(job('1', 'b'), 'r', AT, 1),
        ]);
        expect(both.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
        expect((await jobs.get('1'))?.revision).toBe(2);
      });
    });

    describe('a draft and the record of its number', () => {
      test('are not there both: once the job is on record it is kept there only', async () => {
        await jobs.put(job('1'), 'r', AT);
        await new SqlLog(store).append('1', 0, [opened('1')]);
        expect([await jobs.list(), await jobs.get('1')]).toEqual([[], undefined]);
        await expect(jobs.put(job('1'), 'r', AT)).rejects.toThrow(OnRecord);
        await expect(jobs.put(job('1'), 'r', AT, 1)).rejects.toThrow('job 1 is on record');
      });
    });

    describe('people', () => {
      const roles = ['foreman'] as const;
      let people: People;
      beforeEach(() => {
        people = new People(store);
      });

      test.each(['Ana Okafor', 'ANA okafor', '  Ana   Okafor ', 'Ａna Okafor'])(
        'bear a name once: %j',
        async (name) => {
          const ana = await people.add({ name: 'Ana Okafor', roles: [...roles], pin: '1234' });
          await expect(people.add({ name, roles: [...roles], pin: '1234' })).rejects.toThrow(/Ana Okafor works here/);
          await people.add({ name: 'Bo', roles: [...roles], pin: '1234' });
          await people.change(ana.id, { gone: true });
          await expect(people.add({ name, roles: [...roles], pin: '1234' })).rejects.toThrow(/Ana Okafor worked here/);
        },
      );

      test('have ids of plain letters, each its own', async () => {
        const ids = [];
        for (const name of ['Åsa Öberg', 'Asa Oberg', '王', '--'])
          ids.push((await people.add({ name, roles: [...roles], pin: '1234' })).id);
        expect(ids).toEqual(['asa-oberg', 'asa-oberg-2', 'person', 'person-2']);
      });

      test('are not renamed while open jobs name them: nobody checks their own work under another name', async () => {
        const { id } = await people.add({ name: 'Ana Okafor', roles: [...roles], pin: '1234' });
        const log = new SqlLog(store);
        await log.append('1', 0, [opened('1')]);
        await expect(people.change(id, { name: 'Other' })).rejects.toThrow(
          'Ana Okafor is named in job 1, which is open',
        );
        const released = { v: 1, at: AT, by: 'Ana Okafor', type: 'released', id: 'r', owner: [], undetermined: [] };
        await log.append('1', 1, [{ ...released, independent: true }]);
        expect(await people.change(id, { name: 'Other' })).toMatchObject({ id, name: 'Other' });
      });
    });

    test('a job stays over closing and opening', async () => {
      await jobs.put(job('1', 'windscreen'), 'r', AT);
      await store.close();
      store = await ground.open();
      expect((await new Jobs(store).get('1'))?.job).toEqual(job('1', 'windscreen'));
    });
  });
});

let folder: string;
let store: Store;
let jobs: Jobs;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-store-'));
  store = await openSqlite(folder);
  jobs = new Jobs(store);
});

afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('jobs of before there was a record', () => {
  test('are taken over as drafts, once, and their file stays', async () => {
    const before = new Database(join(folder, 'lastbolt.db'));
    before.exec('create table jobs (ro text primary key, job text, rules text, revision integer, updated text)');
    const row = ['old', JSON.stringify(job('old', 'windscreen')), 'r', 7, AT];
    before.prepare('insert into jobs values (?, ?, ?, ?, ?)').run(...row);
    before.close();
    await takeOverDrafts(folder, store);
    expect(await jobs.get('old')).toMatchObject({ job: job('old', 'windscreen'), revision: 7 });
    await jobs.strike('old');
    await takeOverDrafts(folder, store);
    expect(await jobs.list()).toEqual([]);
    expect(readdirSync(folder)).toContain('lastbolt.db.taken-over');
  });
});

describe('a record of before jobs had a standing', () => {
  test('is brought up to date: what its events say of each job', async () => {
    const log = new SqlLog(store);
    const base = { v: 1, at: AT, by: 'A' };
    await log.append('open', 0, [opened('open')]);
    const left = { ...base, type: 'left-unfinished', id: 'l', foreman: 'A', customer: 'B', lines: [], open: [] };
    await log.append('left', 0, [opened('left'), left]);
    const heads = await log.heads();
    await store.close();
    const before = new Database(join(folder, 'record.db'));
    before.exec(`drop index record_heads_written; drop index record_heads_status;
      alter table record_heads drop column status; alter table record_heads drop column rulebook;
      drop table people; drop table sessions; drop table shop; drop table rulebooks; drop table drafts; drop table first_code;
      delete from kysely_migration where name > '001-record'`);
    before.close();
    store = await openSqlite(folder);
    expect(await new SqlLog(store).heads()).toEqual(heads);
    expect(Object.fromEntries(heads.map(({ job, status }) => [job, status]))).toEqual({
      left: 'left-unfinished',
      open: 'open',
    });
  });
});

describe('a record that is being brought up to date', () => {
  test('is as it was where that is broken off half way, and brought up to date by the next that opens it', async () => {
    const tables = () => {
      const file = new Database(join(folder, 'record.db'));
      const names = file.prepare(`select name from sqlite_master where name = 'first_code'`).all();
      file.close();
      return names.length;
    };
    const meddle = (statements: string) => {
      const file = new Database(join(folder, 'record.db'));
      file.exec(statements);
      file.close();
    };
    await store.close();
    // Its second half finds done what it is to do, and fails.
    meddle(`drop table first_code; delete from kysely_migration where name = '004-servers'`);
    await expect(openSqlite(folder)).rejects.toThrow(/duplicate column name: seen/);
    expect(tables()).toBe(0);
    meddle('alter table rulebooks drop column seen');
    store = await openSqlite(folder);
    expect(tables()).toBe(1);
  });
});

describe('the database in SQLite', () => {
  test.skipIf(process.platform === 'win32')('is for whoever runs the server, and no other on the machine', async () => {
    const fresh = join(folder, 'fresh');
    const other = await openSqlite(fresh);
    const copy = join(folder, 'copy.db');
    await new SqlLog(other).backup(copy);
    await new SqlLog(other).append('1', 0, [opened('1')]);
    const files = [fresh, copy, ...readdirSync(fresh).map((name) => join(fresh, name))];
    expect(files.map((file) => [file, statSync(file).mode & 0o077])).toEqual(files.map((file) => [file, 0]));
    await other.close();
  });

  test('writes ahead and syncs fully', async () => {
    const { rows } = await sql<{ journal_mode: string }>`pragma journal_mode`.execute(store.db);
    expect(rows).toEqual([{ journal_mode: 'wal' }]);
    // 2 = FULL (sqlite.org, pragma synchronous)
    expect((await sql<{ synchronous: number }>`pragma synchronous`.execute(store.db)).rows).toEqual([
      { synchronous: 2 },
    ]);
  });

  test('loses no acknowledged job when the writing process is killed', { timeout: 60_000 }, async () => {
    for (let round = 0; round < 3; round++) {
      const acknowledged = await writeAndKill(folder, round);
      expect(acknowledged.length).toBeGreaterThan(0);
      const kept = new Set((await jobs.list()).map(({ ro }) => ro));
      expect(acknowledged.filter((ro) => !kept.has(ro))).toEqual([]);
    }
    const { rows } = await sql<{ integrity_check: string }>`pragma integrity_check`.execute(store.db);
    expect(rows).toEqual([{ integrity_check: 'ok' }]);
  });
});

/** Another process puts jobs as fast as it can and names each one kept; it is killed in the middle. */
async function writeAndKill(into: string, round: number): Promise<string[]> {
  const top = fileURLToPath(new URL('..', import.meta.url));
  const script = `
    const { openSqlite } = await import('${top}src/store/log/open.ts');
    const { Jobs } = await import('${top}src/store/jobs.ts');
    const jobs = new Jobs(await openSqlite(process.argv[1]));
    for (let i = 0; ; i++) {
      const ro = '${round}-' + i;
      await jobs.put({ ro, work: [] }, 'r', '${AT}', 0);
      process.stdout.write(ro + '\\n');
    }`;
  const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script, into], {
    cwd: top,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let said = '';
  child.stdout.on('data', (chunk: Buffer) => {
    said += chunk.toString();
    if (said.split('\n').length > 200) child.kill('SIGKILL');
  });
  await once(child, 'close');
  return said.split('\n').slice(0, -1);
}
