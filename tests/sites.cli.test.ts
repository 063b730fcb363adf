import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { X509Certificate } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openLog } from '../src/store/log/log.ts';
import { openDatabase, type Place } from '../src/store/open.ts';
import { builtCli } from './built-cli.ts';
import { noPostgres, PASSWORD, type Postgres, startPostgres } from './postgres.ts';
import { left, opened, told } from './store.events.ts';

const { work, lastbolt, file } = builtCli('sites');

const SITES = {
  north: { name: 'North', hosts: ['north.test'] },
  south: { name: 'South', hosts: ['south.test'] },
};

async function fill(place: Place, job: string): Promise<void> {
  const { log } = await openLog(place, { now: () => new Date('2022-01-10T10:00:00Z') });
  await log.append(job, 0, [opened(job), told('e2'), left('e3')]);
  await log.close();
}

/** The same of every place: what the commands do of one site, and do not of another. */
function ofSites(config: () => string): void {
  const on = (site: string | undefined, ...args: string[]) =>
    lastbolt([...args, '--config', config(), ...(site === undefined ? [] : ['--site', site])]);

  test.each([
    ['verify'],
    ['export', '--all'],
    ['due'],
    ['delete', 'N1', '--because', 'x', '--by', 'y'],
    ['import', 'none.jsonl'],
  ])('%s wants to know of which site, and names those there are', async (...args) => {
    file('none.jsonl', '{}');
    const { code, err } = await on(undefined, ...args);
    expect([code, err]).toEqual([2, '--site: there are several sites: north, south; name one\n']);
  });

  test('a site that there is not is refused with those there are', async () => {
    const { code, err } = await on('nroth', 'verify');
    expect([code, err]).toEqual([2, '--site: there is no site `nroth`; there are north, south\n']);
  });

  test('each works with the record of its site alone, and a job is carried from one into the other', async () => {
    expect(await on('north', 'verify')).toMatchObject({
      code: 0,
      err: '1 jobs, 3 events: 0 flaws, 0 photos awaited\n',
    });
    expect((await on('north', 'due')).out).toMatch(/^N1\t2022-01-10\t/);
    const missing = await on('south', 'export', 'N1');
    expect([missing.code, missing.err]).toEqual([2, 'RO: there is no job N1\n']);
    const carried = await on('north', 'export', 'N1', '--jobs-only');
    expect((await on('south', 'import', file('carried.jsonl', carried.out))).out).toBe('job N1: 3 events added\n');
    expect((await on('south', 'verify')).err).toMatch(/^2 jobs, 6 events: 0 flaws/);
    expect((await on('south', 'delete', 'N1', '--because', 'it was carried here by mistake', '--by', 'Ona')).code).toBe(
      0,
    );
    expect((await on('north', 'export', 'N1', '--jobs-only')).out).toBe(carried.out);
  });
}

describe('sites in folders', () => {
  const config = () => file('folders.json', { data: 'kept', sites: SITES });
  beforeAll(async () => {
    await fill({ folder: join(work, 'kept/sites/north') }, 'N1');
    await fill({ folder: join(work, 'kept/sites/south') }, 'S1');
    config();
  });
  ofSites(config);

  test('back up into a file, each its own', async () => {
    const { code } = await lastbolt(['backup', 'north.db', '--config', 'folders.json', '--site', 'north']);
    expect([code, existsSync(join(work, 'north.db'))]).toEqual([0, true]);
  });

  test('a folder on the command line is before one in the file', async () => {
    await fill({ folder: join(work, 'elsewhere') }, 'E1');
    const { err } = await lastbolt(['verify', '--data', 'elsewhere']);
    expect(err).toMatch(/^1 jobs, 3 events/);
  });
});

describe.skipIf(noPostgres)('sites in PostgreSQL', () => {
  let postgres: Postgres;
  const config = () => file('database.json', { database: postgres.url, sites: SITES });
  beforeAll(async () => {
    postgres = await startPostgres();
    const database = await openDatabase(postgres.url);
    await fill({ database, site: 'north' }, 'N1');
    await fill({ database, site: 'south' }, 'S1');
    await database.close();
  }, 120_000);
  afterAll(async () => {
    await postgres.stop();
  });
  ofSites(config);

  test('are shown without the password, and a database that is away is told without it', async () => {
    const { out, code } = await lastbolt(['config', '--config', config()]);
    expect([code, out]).toEqual([
      0,
      expect.stringMatching(
        /^database +postgresql:\/\/lastbolt@127\.0\.0\.1:\d+\/postgres \(password not shown\) +database\.json$/m,
      ),
    ]);
    const away = file('away.json', { database: postgres.url.replace(/:\d+\//, ':9/') });
    const { code: bad, err } = await lastbolt(['verify', '--config', away]);
    expect([bad, err]).toEqual([
      2,
      expect.stringMatching(/^main: postgresql:\/\/lastbolt@127\.0\.0\.1:9\/postgres can not be opened: /),
    ]);
    for (const text of [out, err])
      expect([text.includes(PASSWORD), text.includes(encodeURIComponent(PASSWORD))]).toEqual([false, false]);
  });
});

describe('config', () => {
  test('prints what is in force and who said so', async () => {
    file('shop.json', { port: 4480, network: true, data: 'kept', metrics: { token: 'a-token-of-twenty-one' } });
    const { out } = await lastbolt(['config', '--config', 'shop.json', '--json']);
    expect(JSON.parse(out)).toEqual(
      expect.arrayContaining([
        { setting: 'port', value: 4480, from: 'shop.json' },
        { setting: 'data', value: join(work, 'kept'), from: 'shop.json' },
        { setting: 'plain', value: false, from: 'default' },
        { setting: 'metrics.token', value: '(not shown)', from: 'shop.json' },
      ]),
    );
    expect(out).not.toContain('a-token');
  });

  test.each([['config'], ['serve'], ['verify'], ['cert']])('%s names every fault and ends with 2', async (command) => {
    const bad = file('bad.json', { prot: 1, plain: 'yes' });
    const { code, err } = await lastbolt([command, '--config', bad]);
    expect([code, err]).toEqual([
      2,
      'bad.json#/plain: expected boolean, received string: `yes`\nbad.json#/prot: unknown key: `prot`; did you mean `port`?\n',
    ]);
  });

  test('serve says of an option that it is none', async () => {
    const { code, err } = await lastbolt(['serve', '--plain']);
    expect([code, err]).toEqual([2, '--plain: is about the network; say `network` too, or leave it out\n']);
  });
});

describe('cert', () => {
  test('tells what the certificate is for, until when, and by which authority; another is made when asked for', async () => {
    const { code, out } = await lastbolt(['cert', '--data', 'tls-data']);
    const print = () => new X509Certificate(readFileSync(join(work, 'tls-data/tls/authority.crt'))).fingerprint256;
    const before = print();
    expect([code, out]).toEqual([
      0,
      expect.stringMatching(/^for +localhost, .*\nuntil +\d{4}-\d\d-\d\d\nauthority +until \d{4}-\d\d-\d\d, SHA-256 /),
    ]);
    expect(out).toContain(before);
    expect((await lastbolt(['cert', '--data', 'tls-data'])).out).toBe(out);
    const another = await lastbolt(['cert', '--data', 'tls-data', '--new-authority']);
    expect(another.out).toContain(print());
    expect(print()).not.toBe(before);
  });
});
