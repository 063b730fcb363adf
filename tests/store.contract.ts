import { createHash } from 'node:crypto';
import { beforeEach, describe, expect, test } from 'vitest';
import { type EventLog, Overtaken, Refused } from '../src/store/log/contract.ts';
import { by, line, opened, photo, told, vin } from './store.events.ts';

/** What every event log has to do, whichever database lies below. `fresh` gives an empty one. */
export function contract(name: string, fresh: () => Promise<EventLog>): void {
  describe(`${name} holds to the contract`, () => {
    let log: EventLog;
    beforeEach(async () => {
      log = await fresh();
    });

    test('events come back in order, with who wrote them, numbers from 1 and a hash each', async () => {
      await log.append('48201', 0, [opened('48201'), told('e2')]);
      const head = await log.append('48201', 2, [line('e3')]);
      const record = await log.read('48201');
      expect(record?.events).toEqual([opened('48201'), told('e2'), line('e3')]);
      expect(record?.events[1]).toMatchObject({ by, vehicle: { vin } });
      expect(record?.entries.map((entry) => entry.number)).toEqual([1, 2, 3]);
      expect(record?.entries.at(-1)?.hash).toBe(head.hash);
      expect(head).toMatchObject({ job: '48201', version: 3, hash: expect.stringMatching(/^[0-9a-f]{64}$/) as string });
      expect(new Set(record?.entries.map((entry) => entry.hash)).size).toBe(3);
    });

    test('a job that nobody wrote to is not there', async () => {
      expect(await log.read('1')).toBeUndefined();
      expect(await log.head('1')).toBeUndefined();
      expect(await log.heads()).toEqual([]);
    });

    test('sent twice, an event is there once', async () => {
      const first = await log.append('1', 0, [opened('1'), line('e2')]);
      expect(await log.append('1', 0, [opened('1'), line('e2')])).toEqual(first);
      expect(await log.append('1', 7, [line('e2')])).toEqual(first);
      // The answer was lost on its way, and one more has happened since.
      expect(await log.append('1', 0, [opened('1'), line('e2'), line('e3')])).toMatchObject({ version: 3 });
      expect((await log.read('1'))?.events).toHaveLength(3);
    });

    const overtaken: [says: string, expected: number, ids: string[], version: number][] = [
      ['behind', 1, ['x'], 2],
      ['ahead', 3, ['x'], 2],
      ['new, though it is there', 0, ['x'], 2],
      ['a known one behind a new one', 2, ['x', 'e2'], 2],
      ['known ones in another order', 0, ['e2', 'e1', 'x'], 2],
      ['a known one from the wrong place', 0, ['e2', 'x'], 2],
    ];
    test.each(overtaken)('refuses a wrong expected version: %s', async (_, expected, ids, version) => {
      await log.append('1', 0, [opened('1'), line('e2')]);
      const events = ids.map((id) => (id === 'e1' ? opened('1') : line(id)));
      const refused = log.append('1', expected, events);
      await expect(refused).rejects.toThrow(Overtaken);
      await expect(refused).rejects.toMatchObject({ job: '1', expected, version });
      expect((await log.read('1'))?.events).toHaveLength(2);
    });

    test('of two who write at once one is overtaken', async () => {
      await log.append('1', 0, [opened('1')]);
      const tried = await Promise.allSettled([log.append('1', 1, [line('a')]), log.append('1', 1, [line('b')])]);
      expect(tried.map((one) => one.status).sort()).toEqual(['fulfilled', 'rejected']);
      expect(await log.head('1')).toMatchObject({ version: 2 });
    });

    const refused: [says: string, events: unknown[], words: RegExp][] = [
      ['the same id with other words', [line('e1')], /id e1 is that of event 1, which says something else/],
      ['the same id from somebody else', [{ ...opened('1'), by: 'Bo' }], /says something else/],
      ['an id twice', [line('x'), line('x')], /two events bear the id x/],
      ['what is no event', [{ id: 'x' }], /no event/],
      ['an event of a newer program', [{ ...line('x'), v: 9 }], /newer program/],
      ['a field out of shape', [{ ...line('x'), line: { part: 'windscreen' } }], /event x .*did/],
      ['half a character', [line('x', 'A\ud800')], /no well-formed text/],
      ['a character that PostgreSQL has none for', [line('x', 'A\0')], /event x: it holds the character U\+0000/],
    ];
    test.each(refused)('refuses %s, and keeps nothing of it', async (_, events, words) => {
      await log.append('1', 0, [opened('1')]);
      const tried = log.append('1', 1, events as never);
      await expect(tried).rejects.toThrow(Refused);
      await expect(tried).rejects.toThrow(words);
      expect((await log.read('1'))?.events).toEqual([opened('1')]);
    });

    test('all of an append or nothing: a good event before a bad one is not kept', async () => {
      await log.append('1', 0, [opened('1')]);
      await expect(log.append('1', 1, [line('good'), line('bad', 'A\ud800')])).rejects.toThrow(Refused);
      expect(await log.head('1')).toMatchObject({ version: 1 });
    });

    test('an event of before there were events is read as those of today', async () => {
      const job = { ro: '1', work: [{ part: 'windscreen', did: 'replaced' }], vehicle: { vin } };
      const old = { type: 'job', id: 'old', at: '2026-01-02T08:00:00Z', by, v: 0, job, rulebook: 'r0' };
      await log.append('1', 0, [old]);
      const record = await log.read('1');
      expect(record?.entries).toMatchObject([{ number: 1, event: old }]);
      expect(record?.events.map((event) => event.type)).toEqual(['opened', 'vehicle-told', 'line-added']);
    });

    test('lists where each job stands', async () => {
      await log.append('a', 0, [opened('a')]);
      await log.append('b', 0, [opened('b'), line('e2')]);
      const heads = await log.heads();
      expect(heads.map(({ job, version }) => [job, version]).sort((a, b) => (`${a[0]}` < `${b[0]}` ? -1 : 1))).toEqual([
        ['a', 1],
        ['b', 2],
      ]);
      expect(heads).toContainEqual(await log.head('a'));
    });

    test('says of each whether it is open and which rulebook it has, page by page, written last first', async () => {
      const base = { v: 1, at: '2026-11-25T09:00:00Z', by };
      const released = { ...base, type: 'released', id: 'r', owner: [], undetermined: [], independent: true };
      await log.append('a', 0, [opened('a')]);
      await log.append('b', 0, [opened('b'), released]);
      await log.append('c', 0, [opened('c'), released, { ...base, type: 'reopened', id: 'o', because: 'it leaks' }]);
      await log.append('c', 3, [{ ...base, type: 'rulebook-changed', id: 'n', from: 'r1', to: 'r2', shown: [] }]);
      const all = await log.page({ limit: 10 });
      expect(all).toEqual(await log.heads());
      const told = Object.fromEntries(all.map(({ job, status, rulebook }) => [job, [status, rulebook]]));
      expect(told).toEqual({ a: ['open', 'r1'], b: ['released', 'r1'], c: ['open', 'r2'] });
      expect((await log.page({ limit: 10, ended: true })).map(({ job }) => job)).toEqual(['b']);
      expect((await log.page({ limit: 10, ended: false })).map(({ job }) => job).sort()).toEqual(['a', 'c']);
      const [first] = await log.page({ limit: 1 });
      const rest = await log.page({ limit: 10, ...(first ? { after: first } : {}) });
      expect([first, ...rest]).toEqual(all);
    });

    test('one job is not another, though their events are alike', async () => {
      const a = await log.append('a', 0, [opened('same')]);
      const b = await log.append('b', 0, [opened('same')]);
      expect(a.hash).not.toBe(b.hash);
    });

    test('photos are kept by their hash, once', async () => {
      const bytes = Uint8Array.from({ length: 70_000 }, (_, i) => i % 251);
      const hash = await log.putPhoto(bytes, 'image/jpeg');
      expect(hash).toBe(createHash('sha256').update(bytes).digest('hex'));
      expect(await log.putPhoto(bytes, 'image/jpeg')).toBe(hash);
      expect(await log.photo(hash)).toMatchObject({ hash, type: 'image/jpeg', bytes });
      expect(await log.photo('0'.repeat(64))).toBeUndefined();
      await log.append('1', 0, [opened('1'), photo('p', hash)]);
      expect((await log.read('1'))?.events[1]).toMatchObject({ hash });
      await expect(log.putPhoto(new Uint8Array(), 'image/jpeg')).rejects.toThrow(Refused);
      await expect(log.putPhoto(bytes, 'text/html' as never)).rejects.toThrow(/image\/jpeg/);
      await expect(log.putPhoto(new Uint8Array(10_000_001), 'image/png')).rejects.toThrow(/too large/);
    });
  });
}
