import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'libsql';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openLog } from '../src/store/log/log.ts';
import { customer, left, line, opened, photo, told, vin } from './store.events.ts';

const top = fileURLToPath(new URL('..', import.meta.url));

let folder: string;
let data: string;
let end: string;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-cli-'));
  data = join(folder, 'data');
  const old = await openLog(data, { now: () => new Date('2022-01-10T10:00:00Z') });
  await old.log.append('old', 0, [opened('old'), told('e2'), left('e3')]);
  await old.log.append('old-open', 0, [opened('old-open')]);
  await old.log.close();
  const { log } = await openLog(data);
  end = (await log.append('new', 0, [opened('new'), line('e2'), left('e3')])).hash.slice(-12);
  await log.close();
});

afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

async function run(...args: string[]): Promise<Ran> {
  const child = spawn(process.execPath, ['--import', 'tsx', 'src/cli/main.ts', ...args], { cwd: top });
  let [out, err] = ['', ''];
  child.stdout.on('data', (chunk: Buffer) => (out += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (err += chunk.toString()));
  const [code] = (await once(child, 'close')) as [number];
  return { code, out, err };
}

const on = (...args: string[]) => run(...args, '--data', data);

function meddle(sql: string): void {
  const file = new Database(join(data, 'record.db'));
  file.exec(sql);
  file.close();
}

const changed = `update record_events set event = replace(event, 'windscreen', 'door-glass') where job = 'new'`;
const says = 'job new, event 2: it was changed after it was written; its hash does not match\n';

describe('verify', () => {
  test('counts what is as it was written, and knows the end that was printed', async () => {
    expect(await on('verify')).toEqual({ code: 0, out: '', err: '3 jobs, 7 events: 0 flaws, 0 photos awaited\n' });
    expect(await on('verify', 'new', '--ends', end.toUpperCase())).toMatchObject({ code: 0, out: '' });
    const other = await on('verify', 'new', '--ends', '0123456789ab');
    expect(other).toMatchObject({
      code: 1,
      out: expect.stringContaining('this is not the record that was printed') as string,
    });
  });

  test('names the event that was changed, and ends with 1', async () => {
    meddle(changed);
    expect(await on('verify')).toEqual({ code: 1, out: says, err: '3 jobs, 7 events: 1 flaws, 0 photos awaited\n' });
    expect((await on('verify', 'old')).code).toBe(0);
  });
});

describe('export and import', () => {
  test('carry jobs into another record, link for link; again nothing is missing', async () => {
    const { out, code } = await on('export', '--all');
    expect([code, out.trim().split('\n').length]).toEqual([0, 3]);
    const file = join(folder, 'jobs.jsonl');
    writeFileSync(file, out);
    const there = join(folder, 'there');
    const taken = await run('import', file, '--data', there);
    expect(taken).toMatchObject({ code: 0, out: expect.stringContaining('job new: 3 events added') as string });
    expect((await run('import', file, '--data', there)).out).toBe(
      'job new: nothing was missing\njob old: nothing was missing\njob old-open: nothing was missing\n',
    );
    expect((await run('verify', 'new', '--ends', end, '--data', there)).code).toBe(0);
    expect((await run('export', '--all', '--data', there)).out).toBe(out);
  });

  test('neither gives out nor takes in a job that was changed', async () => {
    const { out } = await on('export', 'new');
    const file = join(folder, 'new.jsonl');
    writeFileSync(file, out.replace('windscreen', 'door-glass'));
    const there = join(folder, 'there');
    const taken = await run('import', file, '--data', there);
    expect(taken).toMatchObject({ code: 1, out: '' });
    expect(taken.err).toContain('line 1: job new, event 2: it was changed after it was written');
    meddle(changed);
    expect(await on('export', 'new')).toEqual({ code: 1, out: '', err: says });
  });
});

describe('backup', () => {
  test('is the record again when it is put into an empty folder, and never writes over a file', async () => {
    const file = join(folder, 'backup.db');
    expect(await on('backup', file)).toMatchObject({ code: 0, out: `wrote ${file}\n` });
    const restored = join(folder, 'restored');
    mkdirSync(restored);
    copyFileSync(file, join(restored, 'record.db'));
    expect((await run('verify', '--data', restored)).err).toBe('3 jobs, 7 events: 0 flaws, 0 photos awaited\n');
    expect(await on('backup', file)).toMatchObject({
      code: 1,
      err: expect.stringMatching(/is there already/) as string,
    });
  });
});

describe('due and delete', () => {
  test('list and delete what no longer has to be kept, and nothing else', async () => {
    const due = await on('due');
    expect(due).toMatchObject({ code: 0, out: 'old\t2022-01-10\tleft-unfinished\nold-open\t2022-01-10\topen\n' });
    expect(due.err).toMatch(/^2 jobs are due: kept 3 years/);
    const why = ['--because', 'three years are over', '--by', 'Bo Lindqvist'];
    expect(await on('delete', 'old', ...why)).toMatchObject({ code: 0, out: 'job old is deleted\n' });
    expect(await on('delete', 'old-open', ...why)).toMatchObject({
      code: 1,
      err: expect.stringMatching(/is open/) as string,
    });
    const kept = await on('delete', 'new', ...why);
    expect(kept).toMatchObject({ code: 1, err: expect.stringMatching(/it is kept 3 years from then/) as string });
    expect((await on('verify')).err).toMatch(/^2 jobs, 4 events: 0 flaws/);
    expect(readFileSync(join(data, 'record.db'), 'latin1')).toContain('three years are over');
  });

  test('hold to the years of the shop where it keeps longer', async () => {
    meddle(
      `insert into shop values (1, '{"name":"S","alone":false,"units":"metric","tools":null,"keep-years":30}', 0)`,
    );
    expect((await on('due')).err).toMatch(/^0 jobs are due: kept 30 years/);
    const kept = await on('delete', 'old', '--because', 'x', '--by', 'y');
    expect(kept).toMatchObject({ code: 1, err: expect.stringMatching(/it is kept 30 years/) as string });
  });

  test('take personal words out at any time, from the disk too; the work stays and the chain verifies', async () => {
    expect(await on('delete', 'new', '--personal', customer)).toMatchObject({
      code: 0,
      out: 'job new: 1 personal fields removed; its chain still verifies\n',
    });
    expect(await on('delete', 'old', '--all-personal')).toMatchObject({ code: 0 });
    const file = readFileSync(join(data, 'record.db'), 'latin1');
    for (const word of [customer, vin]) expect(file.includes(word)).toBe(false);
    expect((await on('verify')).code).toBe(0);
    expect((await on('verify', 'new', '--ends', end)).code).toBe(0);
    const unknown = await on('delete', 'new', '--personal', 'Nobody');
    expect(unknown).toMatchObject({
      code: 1,
      err: expect.stringMatching(/no personal field that says `Nobody`/) as string,
    });
  });

  test('take one picture out, by the beginning of its hash; the job that shows it still verifies', async () => {
    const { log } = await openLog(data);
    const hash = await log.putPhoto(Uint8Array.of(0xff, 0xd8, 0xff, 0xd9), 'image/jpeg');
    await log.append('new', 3, [photo('p', hash)]);
    await log.close();
    expect(await on('delete', 'new', '--photo', '0123456789')).toMatchObject({
      code: 1,
      err: expect.stringMatching(/shows no photo/) as string,
    });
    expect((await on('delete', 'new', '--photo', hash.slice(0, 8))).code).toBe(0);
    expect(await on('verify')).toMatchObject({ code: 0, err: '3 jobs, 8 events: 0 flaws, 0 photos awaited\n' });
    const after = await openLog(data);
    expect(await after.log.photo(hash)).not.toHaveProperty('bytes');
    await after.log.close();
  });

  test.each([
    [['delete', 'new', '--photo', 'xyz']],
    [['delete', 'old']],
    [['delete', 'old', '--because', 'x']],
    [['delete', 'old', '--by', 'x']],
    [['delete', 'old', '--personal', 'x', '--all-personal']],
    [['delete', 'old', '--personal', 'x', '--by', 'y']],
    [['delete']],
  ])('are not understood by halves: %j', async (args) => {
    const { code, err } = await on(...args);
    expect([code, err.length > 0]).toEqual([2, true]);
    expect((await on('verify')).err).toMatch(/^3 jobs, 7 events: 0 flaws/);
  });
});

describe('without a record', () => {
  test.each([
    [['verify']],
    [['export', '--all']],
    [['backup', 'x.db']],
    [['due']],
    [['delete', '1', '--all-personal']],
  ])('%j says so, makes none, and ends with 2', async (args) => {
    const { code, err } = await run(...args, '--data', join(folder, 'none'));
    expect([code, err]).toEqual([2, expect.stringContaining('there is no record in')]);
  });
});
