import { mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { canonical } from '../src/store/log/canonical.ts';
import { Refused, Tampered, Unavailable } from '../src/store/log/contract.ts';
import { openLog, type SqlLog } from '../src/store/log/log.ts';
import type { Sqlite } from '../src/store/log/open.ts';
import { linkHash } from '../src/store/log/chain.ts';
import { noPostgres } from './postgres.ts';
import { contract } from './store.contract.ts';
import { killPostgresRounds, killRounds } from './store.kill.ts';
import { type Ground, kinds } from './store.places.ts';
import { by, customer, left, line, opened, photo, told, vin } from './store.events.ts';

const NOW = new Date('2026-11-25T10:00:00Z');

async function jobOfFour(log: SqlLog): Promise<void> {
  await log.append('48201', 0, [opened('48201'), told('e2'), line('e3'), left('e4')]);
  await log.append('48202', 0, [opened('48202')]);
}

describe('canonical JSON', () => {
  // RFC 8785, sections 3.2.2 and 3.2.3: the samples and what they must come to.
  test.each([
    [
      String.raw`{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}`,
      String.raw`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
    ],
    [
      String.raw`{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`,
      `{"\\r":"Carriage Return","1":"One","\u0080":"Control","ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","😀":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}`,
    ],
  ])('%#', (sample, is) => {
    expect(canonical(JSON.parse(sample))).toBe(is);
  });
});

describe.each(kinds())('the log in $name', (kind) => {
  describe.skipIf(kind.absent)('as in any database', () => {
    let ground: Ground;
    let log: SqlLog;
    let now = NOW;
    beforeAll(() => kind.begin(), 60_000);
    afterAll(() => kind.end());
    beforeEach(async () => {
      ground = await kind.fresh();
      now = NOW;
      ({ log } = await openLog(ground.place, { now: () => now }));
    });
    afterEach(async () => {
      await log.close();
      await ground.end();
    });

    contract(`the log in ${kind.name}`, () => Promise.resolve(log));

    describe('a tampered record is found and named', () => {
      const cases: [says: string, sql: string, number: number, kind: string, words: RegExp][] = [
        [
          'a changed word',
          `update record_events set event = replace(event, 'windscreen', 'door-glass') where job = '48201' and number = 3`,
          3,
          'changed',
          /job 48201, event 3: it was changed/,
        ],
        [
          'a changed time',
          `update record_events set kept = '2025-01-01T00:00:00.000Z' where number = 2`,
          2,
          'changed',
          /2/,
        ],
        [
          'an event taken out',
          `delete from record_events where number = 2`,
          3,
          'missing',
          /event 3: 1 event before it/,
        ],
        [
          'the first taken out',
          `delete from record_events where job = '48201' and number = 1`,
          2,
          'missing',
          /event 2/,
        ],
        ['the end cut off', `delete from record_events where number = 4`, 3, 'missing', /the end was cut off/],
        ['all taken out', `delete from record_events where job = '48201'`, 0, 'head', /4 events should be there/],
        ['taken off the list', `delete from record_heads where job = '48201'`, 0, 'head', /not on the list/],
        ['the list set back', `update record_heads set version = 3 where job = '48201'`, 4, 'head', /list of jobs/],
        ['another end on the list', `update record_heads set hash = 'abc' where job = '48201'`, 4, 'head', /event 4/],
        [
          'another name',
          `update record_personal set value = 'Eve' where value = '${customer}'`,
          4,
          'personal',
          /event 4/,
        ],
        ['a name without trace', `delete from record_personal where value = '${vin}'`, 2, 'personal', /event 2/],
        ['another id', `update record_events set id = 'z' where number = 3`, 3, 'changed', /filed under the id z/],
      ];
      test.each(cases)('%s', async (_, sql, number, kind, words) => {
        await jobOfFour(log);
        await ground.meddle(sql);
        const refused = await log.read('48201').catch((error: unknown) => error);
        expect(refused).toBeInstanceOf(Tampered);
        const { flaws } = refused as Tampered;
        expect(flaws[0]).toMatchObject({ job: '48201', number, kind });
        expect(flaws[0]?.says).toMatch(words);
        expect(await log.read('48202')).toBeDefined();
        const again = await openLog(ground.place);
        expect(again.flaws).toEqual(flaws);
        await again.log.close();
      });

      test('an event replaced together with its hash: the link behind it tells', async () => {
        await jobOfFour(log);
        const [found] = await ground.meddle(`select * from record_events where job = '48201' and number = 2`);
        const row = found as unknown as Parameters<typeof linkHash>[0];
        const forged = { ...row, event: row.event.replace('"corrects":false', '"corrects":true') };
        await ground.meddle(
          `update record_events set event = ?, hash = ? where job = '48201' and number = 2`,
          forged.event,
          linkHash(forged),
        );
        await expect(log.read('48201')).rejects.toMatchObject({
          flaws: [
            { number: 3, kind: 'link', says: expect.stringContaining('the link from event 2 is broken') as string },
          ],
        });
      });

      test('another photo under the same hash', async () => {
        const hash = await log.putPhoto(Uint8Array.of(1, 2, 3), 'image/png');
        await ground.meddle(`update record_photos set bytes = ? where hash = ?`, Buffer.from([9]), hash);
        await expect(log.photo(hash)).rejects.toThrow(Tampered);
        expect(await log.verifyPhotos()).toMatchObject([{ kind: 'photo' }]);
      });

      test('a photo that is missing: awaited while the job is open, a flaw once it is closed', async () => {
        const hash = 'a'.repeat(64);
        await log.append('1', 0, [opened('1'), photo('p', hash)]);
        const one = async () => (await log.verify(['1']).next()).value as unknown;
        expect(await one()).toMatchObject({ flaws: [], awaited: [hash] });
        await log.append('1', 2, [left('end')]);
        expect(await one()).toMatchObject({ flaws: [{ kind: 'photo', job: '1' }], awaited: [] });
      });
    });

    describe('personal fields', () => {
      test('can be removed one by one, and the chain still verifies', async () => {
        await jobOfFour(log);
        const before = await log.head('48201');
        expect(await log.removePersonal('48201', [customer, vin])).toBe(2);
        const record = await log.read('48201');
        expect(record?.hash).toBe(before?.hash);
        expect(record?.events[3]).toMatchObject({
          by,
          customer: expect.stringMatching(/^removed [0-9a-f]{6}$/) as string,
        });
        expect(record?.events[1]).toMatchObject({ vehicle: {} });
        expect(record?.events[1]).not.toMatchObject({ vehicle: { vin } });
        await expect(log.removePersonal('48201', [customer])).rejects.toThrow(Refused);
        await expect(log.removePersonal('none')).rejects.toThrow(/there is no job none/);
      });

      test('all removed, one still sees what one person did, and the log goes on', async () => {
        await log.append('1', 0, [opened('1'), line('e2'), line('e3', 'Bo')]);
        await log.removePersonal('1');
        const events = (await log.read('1'))?.events ?? [];
        expect(events[0]?.by).toBe(events[1]?.by);
        expect(events[0]?.by).not.toBe(events[2]?.by);
        // Sent again by a tablet that never heard the answer.
        expect(await log.append('1', 0, [opened('1'), line('e2')])).toMatchObject({ version: 3 });
        expect(await log.append('1', 3, [line('e4')])).toMatchObject({ version: 4 });
        expect((await log.read('1'))?.events[3]).toEqual(line('e4'));
      });

      test('two jobs give the same name two hashes: one record does not open the other', async () => {
        await log.append('1', 0, [opened('1')]);
        await log.append('2', 0, [opened('2')]);
        const rows = await ground.meddle('select hash from record_personal where value = ?', by);
        expect(new Set(rows.map((row) => row['hash'])).size).toBe(2);
      });

      test('the bytes of a photo can be removed; its hash stays', async () => {
        const hash = await log.putPhoto(Uint8Array.of(1, 2, 3), 'image/png');
        await log.append('1', 0, [opened('1'), photo('p', hash), left('end')]);
        await log.removePhoto(hash);
        expect(await log.photo(hash)).not.toHaveProperty('bytes');
        expect((await log.verify(['1']).next()).value).toMatchObject({ flaws: [] });
        await expect(log.removePhoto('0'.repeat(64))).rejects.toThrow(Refused);
      });
    });

    describe('keeping', () => {
      const why = { by: 'Bo Lindqvist', because: 'three years are over' };

      // 16 CCR 3358: at least three years.
      test('a job is deleted only once it is closed and three years old, by somebody with a reason', async () => {
        const shared = await log.putPhoto(Uint8Array.of(1), 'image/png');
        const own = await log.putPhoto(Uint8Array.of(2), 'image/png');
        await log.append('1', 0, [opened('1'), photo('p', shared), photo('q', own)]);
        await log.append('2', 0, [opened('2'), photo('p', shared)]);
        now = new Date('2029-11-25T09:59:59Z');
        await expect(log.delete('1', why)).rejects.toThrow(/job 1 is open/);
        now = new Date('2026-11-25T10:00:00Z');
        await log.append('1', 3, [left('end')]);
        now = new Date('2029-11-25T09:59:59Z');
        expect(await log.due()).toEqual([]);
        await expect(log.delete('1', why)).rejects.toThrow(/kept 3 years from then/);
        now = new Date('2029-11-25T10:00:00Z');
        expect((await log.due()).map((head) => head.job).sort()).toEqual(['1', '2']);
        expect(await log.due(4)).toEqual([]);
        await expect(log.delete('1', { ...why, because: ' ' })).rejects.toThrow(/who deletes it, and why/);
        await expect(log.delete('1', why, 1)).rejects.toThrow(/at least 3 years/);
        await log.delete('1', why);
        expect(await log.read('1')).toBeUndefined();
        expect(await log.photo(own)).toBeUndefined();
        expect(await log.photo(shared)).toBeDefined();
        expect(await ground.meddle('select * from record_deleted')).toMatchObject([{ job: '1', version: 4, ...why }]);
        await expect(log.append('1', 0, [opened('1')])).rejects.toThrow(/was deleted/);
        await expect(log.delete('1', why)).rejects.toThrow(/there is no job/);
      });
    });

    describe('export and import', () => {
      test('a job goes out and comes in again byte for byte, photos and removed fields too', async () => {
        const hash = await log.putPhoto(Uint8Array.of(1, 2, 3), 'image/png');
        await jobOfFour(log);
        await log.append('48201', 4, [photo('p', hash)]);
        await log.removePersonal('48201', [customer]);
        const text = (await log.exported('48201')) as string;
        expect(text).not.toContain(customer);
        const other = await openLog(ground.other());
        expect(await other.log.import(text)).toEqual({ job: '48201', was: 'new', added: 5 });
        expect(await other.log.import(text)).toEqual({ job: '48201', was: 'same', added: 0 });
        expect(await other.log.exported('48201')).toBe(text);
        expect((await other.log.read('48201'))?.events).toEqual((await log.read('48201'))?.events);
        expect((await other.log.photo(hash))?.bytes).toEqual(Uint8Array.of(1, 2, 3));
        await log.append('48201', 5, [photo('q', hash)]);
        expect(await other.log.import((await log.exported('48201')) as string)).toMatchObject({
          was: 'longer',
          added: 1,
        });
        await other.log.append('48201', 6, [photo('theirs', hash)]);
        await log.append('48201', 6, [photo('ours', hash)]);
        await expect(other.log.import((await log.exported('48201')) as string)).rejects.toThrow(
          /another story from event 7 on/,
        );
        await other.log.close();
      });

      test('what was removed here does not come back with an older export', async () => {
        await jobOfFour(log);
        const text = (await log.exported('48201')) as string;
        await log.removePersonal('48201');
        await log.import(text);
        expect(await log.exported('48201')).not.toContain(customer);
      });

      test.each([
        ['no JSON', () => 'x', Refused, /no JSON/],
        ['another file', () => '{"v":1}', Refused, /#\/format/],
        ['a changed word', (t: string) => t.replace('windscreen', 'door-glass'), Tampered, /event 3: it was changed/],
        ['a changed name', (t: string) => t.replace(`"${customer}"`, '"Eve"'), Tampered, /personal field was changed/],
      ] as const)('%s is not imported', async (_, spoil, kind, words) => {
        await jobOfFour(log);
        const text = spoil((await log.exported('48201')) as string);
        const other = await openLog(ground.other());
        const refused = other.log.import(text);
        await expect(refused).rejects.toThrow(kind);
        await expect(refused).rejects.toThrow(words);
        expect(await other.log.heads()).toEqual([]);
        await other.log.close();
      });

      test('a flawed job is not exported', async () => {
        await jobOfFour(log);
        await ground.meddle(`update record_events set kept = 'x' where number = 2`);
        await expect(log.exported('48201')).rejects.toThrow(Tampered);
      });
    });
  });
});

describe('the log in SQLite alone', () => {
  let folder: string;
  let log: SqlLog;
  let bare: Sqlite;
  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'lastbolt-record-'));
    ({ log } = await openLog(folder, { now: () => NOW, onOpen: (file) => void (bare = file) }));
  });
  afterEach(async () => {
    await log.close();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Changes the file behind the program's back. */
  function inFile(sql: string): void {
    const file = new Database(join(folder, 'record.db'));
    file.prepare(sql).run();
    file.close();
  }

  describe('when the machine fails', () => {
    test('a full disk is told, nothing is half done, and the next try goes through', async () => {
      await log.append('1', 0, [opened('1')]);
      const pages = (bare.pragma('page_count') as { page_count: number }[])[0]?.page_count ?? 0;
      bare.pragma(`max_page_count = ${pages + 2}`);
      const many = Array.from({ length: 200 }, (_, i) => line(`m${i}`, `Person ${i}`));
      const refused = log.append('1', 1, many);
      await expect(refused).rejects.toThrow(Unavailable);
      await expect(refused).rejects.toThrow('nothing was kept: the disk is full; make room and send it again');
      await expect(log.putPhoto(new Uint8Array(100_000), 'image/png')).rejects.toThrow(/disk is full/);
      expect((await log.read('1'))?.events).toHaveLength(1);
      expect(bare.prepare('select count(*) as n from record_personal').get()).toMatchObject({ n: 1 });
      bare.pragma('max_page_count = 1000000');
      expect(await log.append('1', 1, many)).toMatchObject({ version: 201 });
      expect((await log.read('1'))?.events).toHaveLength(201);
    });

    test.each([
      ['deleted', () => rmSync(folder, { recursive: true }), /record\.db is gone/],
      [
        'replaced',
        () => {
          renameSync(join(folder, 'record.db'), join(folder, 'old.db'));
          writeFileSync(join(folder, 'record.db'), '');
        },
        /replaced by another file/,
      ],
      ['robbed of its journal', () => rmSync(join(folder, 'record.db-wal')), /record\.db-wal is gone/],
    ])('a database %s under the running program takes nothing more', async (_, gone, words) => {
      await log.append('1', 0, [opened('1')]);
      gone();
      const refused = log.append('1', 1, [line('e2')]);
      await expect(refused).rejects.toThrow(Unavailable);
      await expect(refused).rejects.toThrow(words);
      await expect(log.read('1')).rejects.toThrow(words);
    });

    test('what can not be opened is told', async () => {
      await expect(openLog(join(folder, 'none'), { create: false })).rejects.toThrow(/there is no record in/);
      const bad = mkdtempSync(join(tmpdir(), 'lastbolt-record-'));
      writeFileSync(join(bad, 'record.db'), 'this is no database, however long it may be. '.repeat(100));
      await expect(openLog(bad)).rejects.toThrow(/record\.db can not be opened: the database is damaged/);
      rmSync(bad, { recursive: true });
    });

    test('a record of a newer program is left alone', async () => {
      inFile(`insert into kysely_migration (name, timestamp) values ('999-later', '2030')`);
      await expect(openLog(folder)).rejects.toThrow(/written by a newer program/);
    });

    test('opened twice and by two at once, it is brought up to date once', async () => {
      const both = join(folder, 'both');
      const logs = await Promise.all([openLog(both), openLog(both)]);
      await logs[0].log.append('1', 0, [opened('1')]);
      await logs[1].log.append('1', 1, [line('e2')]);
      expect((await logs[0].log.read('1'))?.version).toBe(2);
      for (const { log: one } of logs) await one.close();
      expect((await openLog(both)).flaws).toEqual([]);
    });
  });

  test('personal values that were removed are gone from the files', async () => {
    const holding = (text: string) =>
      readdirSync(folder).filter((name) => readFileSync(join(folder, name)).includes(Buffer.from(text)));
    await jobOfFour(log);
    expect(holding(customer)).not.toEqual([]);
    await log.removePersonal('48201', [customer, vin]);
    expect([holding(customer), holding(vin)]).toEqual([[], []]);
  });

  test('a backup made while it is written to opens and verifies; it replaces nothing', async () => {
    await jobOfFour(log);
    const copy = mkdtempSync(join(tmpdir(), 'lastbolt-backup-'));
    const file = join(copy, 'record.db');
    const writing = Promise.all(Array.from({ length: 20 }, (_, i) => log.append(`w${i}`, 0, [opened(`w${i}`)])));
    await log.backup(file);
    await writing;
    const back = await openLog(copy);
    expect(back.flaws).toEqual([]);
    expect(await back.log.read('48201')).toEqual(await log.read('48201'));
    await back.log.close();
    await expect(log.backup(file)).rejects.toThrow(/never replaces/);
    await expect(log.backup(join(copy, 'none', 'x'))).rejects.toThrow(/no folder/);
    rmSync(copy, { recursive: true });
  });
});

test('ten writers killed at random moments lose nothing that was acknowledged', async () => {
  const killed = await killRounds(10);
  expect(killed).toMatchObject({ lost: [], flaws: [] });
  expect(killed.acknowledged).toBeGreaterThan(10);
}, 120_000);

test.skipIf(noPostgres)(
  'nor do two writers or the database itself, killed by turns',
  async () => {
    const killed = await killPostgresRounds(10);
    expect(killed).toMatchObject({ lost: [], flaws: [] });
    expect(killed.acknowledged).toBeGreaterThan(20);
    // Rounds in which the database was killed under the writers.
    expect(killed.refused).toBeGreaterThan(0);
  },
  240_000,
);
