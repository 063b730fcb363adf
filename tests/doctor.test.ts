import { chmodSync, mkdirSync, mkdtempSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type Finding, fine, doubtful, wrong, worst } from '../src/cli/doctor/finding.ts';
import { dataFolder, freeDisk, nodeVersion, pageBuilt } from '../src/cli/doctor/machine.ts';
import { certificate, lastBackup, port, rulebook } from '../src/cli/doctor/outside.ts';
import { record } from '../src/cli/doctor/record.ts';
import { DEFAULTS, type Settings } from '../src/server/config-settings.ts';
import { startServer } from '../src/server/serve.ts';
import { madeCertificate } from '../src/server/tls/made.ts';
import { levelOf } from '../src/store/log/level.ts';
import { openLog } from '../src/store/log/log.ts';
import { rules } from './server.shop.ts';
import { left, line, opened, photo } from './store.events.ts';

const DAY = 24 * 3_600_000;
const now = new Date('2026-11-25T09:00:00Z');

let folder: string;
const at = (...names: string[]) => join(folder, ...names);

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-doctor-'));
});

afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

const settings = (more: Partial<Settings> = {}): Settings => ({ ...DEFAULTS, data: at('data'), ...more });

/** Each says what it is about, and what is not fine says what to do. */
function holds(finding: Finding | undefined, is: Finding['is'], says: RegExp): void {
  expect(finding).toMatchObject({ is, says: expect.stringMatching(says) as string });
  expect([finding?.about !== '', finding?.do !== undefined]).toEqual([true, is !== 'fine']);
}

test('the worst of them is the exit code', () => {
  const [good, so, bad] = [fine('a', 'b'), doubtful('a', 'b', 'c'), wrong('a', 'b', 'c')];
  expect([[], [good], [good, so], [so, bad, good]].map(worst)).toEqual([0, 0, 1, 2]);
});

test.each([
  ['20.19.0', 'fine'],
  ['22.1.0', 'fine'],
  ['20.18.9', 'wrong'],
  ['18.20.0', 'wrong'],
] as const)('Node %s is %s', (version, is) => holds(nodeVersion(version), is, new RegExp(version)));

test('a page that is built, and one that is not', () => {
  writeFileSync(at('index.html'), '');
  holds(pageBuilt(at('index.html')), 'fine', /^built on \d{4}/);
  holds(pageBuilt(at('none.html')), 'wrong', /not built/);
});

describe('the data folder', () => {
  test('for one account only', () => {
    mkdirSync(at('data'), { mode: 0o700 });
    writeFileSync(at('data', 'record.db'), '', { mode: 0o600 });
    holds(dataFolder(at('data')), 'fine', /only$/);
  });

  test.each([
    ['the folder', 0o755, 0o600],
    ['the record', 0o700, 0o640],
  ])('open to others: %s', (_, ofFolder, ofFile) => {
    mkdirSync(at('data'));
    writeFileSync(at('data', 'record.db'), '');
    chmodSync(at('data'), ofFolder);
    chmodSync(at('data', 'record.db'), ofFile);
    holds(dataFolder(at('data')), 'doubtful', /may be read by other accounts/);
  });

  test('of another account, missing, or a file', () => {
    mkdirSync(at('data'), { mode: 0o700 });
    holds(dataFolder(at('data'), statSync(at('data')).uid + 1), 'doubtful', /not to this account/);
    holds(dataFolder(at('none')), 'doubtful', /not there/);
    writeFileSync(at('file'), '');
    holds(dataFolder(at('file')), 'wrong', /no folder/);
  });
});

test.each([
  [50e9, 'fine'],
  [0.9e9, 'doubtful'],
  [50e6, 'wrong'],
] as const)('%d bytes free are %s', (free, is) => holds(freeDisk('/data', free), is, /GB are free/));

test('the disk of a folder that is not there yet is that of the one above', () => {
  expect(freeDisk(at('not', 'yet')).is).not.toBe('wrong');
});

describe('the rulebook', () => {
  const files = new Map(Object.entries(rules.files));
  test('that comes with it can be served', () => holds(rulebook(files, true), 'fine', new RegExp(rules.version)));
  test.each([
    ['a file that is no JSON', 'engine/idle-air-learn.json', '{', 'wrong'],
    ['a source that is nowhere', 'sources.json', '{}', 'doubtful'],
  ] as const)('with %s is not', (_, name, text, is) => {
    const spoilt = new Map([...files].filter(([file]) => file.split('/').length === 1 || file === name));
    holds(rulebook(spoilt.set(name, text), false), is, /json|source/);
  });
});

describe('the certificate', () => {
  const named = { wanted: ['localhost'], others: [], now };
  test('is asked for only on the network with TLS', () => {
    expect(certificate(settings(), now)).toBeUndefined();
    expect(certificate(settings({ network: true, plain: true }), now)).toBeUndefined();
    holds(certificate(settings({ network: true }), now), 'fine', /made when the server starts/);
  });

  test('made here', async () => {
    await madeCertificate(at('data'), named);
    holds(certificate(settings({ network: true }), now), 'fine', /until 2027/);
    holds(certificate(settings({ network: true }), new Date(now.getTime() + 500 * DAY)), 'doubtful', /which is over/);
    writeFileSync(at('data', 'tls', 'server.crt'), 'spoilt');
    holds(certificate(settings({ network: true }), now), 'wrong', /can not be read/);
  });

  test('of the shop', async () => {
    const { server } = await madeCertificate(at('data'), named);
    writeFileSync(at('shop.crt'), server.cert);
    writeFileSync(at('shop.key'), server.key);
    const own = settings({ network: true, tls: { cert: at('shop.crt'), key: at('shop.key') } });
    holds(certificate(own, now), 'fine', /of the shop, until/);
    holds(certificate(own, new Date(now.getTime() + 385 * DAY)), 'doubtful', /ends/);
    holds(certificate(own, new Date(now.getTime() + 500 * DAY)), 'wrong', /ended/);
    writeFileSync(at('shop.key'), 'spoilt');
    holds(certificate(own, now), 'wrong', /no private key/);
  });
});

describe('backups', () => {
  const copy = (name: string, days: number, text = 'x') => {
    mkdirSync(at('backups'), { recursive: true });
    writeFileSync(at('backups', name), text);
    const time = (now.getTime() - days * DAY) / 1000;
    utimesSync(at('backups', name), time, time);
  };

  test('nobody named a folder, or it is not there, or it is empty', () => {
    holds(lastBackup(undefined, now), 'doubtful', /no folder of backups is named/);
    holds(lastBackup(at('backups'), now), 'wrong', /there is no folder/);
    copy('torn.db', 0, '');
    holds(lastBackup(at('backups'), now), 'wrong', /there is none/);
  });

  test.each([
    [0.2, 'fine', /of the last day/],
    [1.5, 'fine', /a day old/],
    [3, 'doubtful', /3 days old/],
    [20, 'wrong', /20 days old/],
  ] as const)('the newest is %d days old: %s', (days, is, says) => {
    copy('older.db', 40);
    copy('newest.db', days);
    holds(lastBackup(at('backups'), now), is, says);
  });
});

describe('the port', () => {
  test('free, or taken by another program', async () => {
    const other = createServer((socket) => socket.resume().end('HTTP/1.1 200 OK\r\n\r\nhello'));
    await new Promise<void>((done) => other.listen(0, '127.0.0.1', done));
    const taken = settings({ port: (other.address() as { port: number }).port });
    holds(await port(taken, rules.version), 'wrong', /taken by another program/);
    await new Promise((done) => other.close(done));
    holds(await port(taken, rules.version), 'fine', /free/);
  });

  test.each([[false], [true]])('our own server answers, on the network: %s', async (network) => {
    mkdirSync(at('page'));
    writeFileSync(at('page', 'index.html'), '');
    const server = await startServer({ ...settings({ port: 0, network }), page: at('page'), tell: () => undefined });
    const runs = settings({ port: Number(new URL(server.url).port), network });
    try {
      holds(await port(runs, rules.version), 'fine', /a server of ours answers/);
      holds(await port(runs, 'another'), 'doubtful', /runs under rulebook/);
    } finally {
      await server.close();
    }
  });
});

describe('the record', () => {
  const looking = { now, quick: false, tidy: false };
  const look = async (more: Partial<typeof looking> = {}) => record(at('data'), { ...looking, ...more });
  const about = (found: readonly Finding[], what: string) => found.find((one) => one.about === what);

  async function kept(work: (log: Awaited<ReturnType<typeof openLog>>['log']) => Promise<unknown>, when = now) {
    const { log } = await openLog(at('data'), { now: () => when });
    await work(log);
    await log.close();
  }

  const meddle = (sql: string) => {
    const file = new Database(at('data', 'record.db'));
    file.exec(sql);
    file.close();
  };

  test('that is well', async () => {
    await kept((log) => log.append('a', 0, [opened('a'), line('2')]));
    const found = await look();
    expect(found.map(({ is }) => is)).toEqual(['fine', 'fine', 'fine', 'fine']);
    holds(about(found, 'record'), 'fine', /^1 jobs, 2 events, 0\.\d MB; 1 jobs are open$/);
    holds(about(found, 'chains'), 'fine', /all 1 verify/);
  });

  test('that is not there, is a newer program’s, or an older one’s; and looking changes nothing', async () => {
    holds((await look())[0], 'doubtful', /none yet/);
    await kept(() => Promise.resolve());
    meddle(`delete from kysely_migration where name >= '003'`);
    holds((await look())[0], 'doubtful', /of an older program/);
    expect(await levelOf(at('data'))).toBe('older');
    meddle(`insert into kysely_migration values ('900-later', '2030-01-01')`);
    holds((await look())[0], 'wrong', /newer program/);
  });

  test('that is damaged', async () => {
    mkdirSync(at('data'));
    writeFileSync(at('data', 'record.db'), 'this is no database, and long enough to be looked at as one'.repeat(50));
    holds((await look())[0], 'wrong', /damaged/);
  });

  test('whose clock was ahead', async () => {
    await kept((log) => log.append('a', 0, [opened('a')]), new Date(now.getTime() + DAY));
    holds(about(await look(), 'clock'), 'wrong', /the newest event is of 2026-11-26/);
  });

  test('that was changed behind its back, unless it has to be quick', async () => {
    await kept((log) => log.append('a', 0, [opened('a'), line('2')]));
    meddle(`update record_events set event = replace(event, 'windscreen', 'door-glass')`);
    holds(about(await look(), 'chains'), 'wrong', /job a, event 2: it was changed/);
    expect(about(await look({ quick: true }), 'chains')).toBeUndefined();
  });

  test('with photos that did not come, and photos that nobody showed', async () => {
    const hash = '0'.repeat(64);
    const long = new Date(now.getTime() - 40 * DAY);
    await kept(async (log) => {
      await log.append('open', 0, [opened('open'), photo('p', hash)]);
      await log.append('closed', 0, [opened('closed'), photo('p', hash), left('l')]);
      await log.putPhoto(Uint8Array.of(0xff, 0xd8, 0xff), 'image/jpeg');
    }, long);
    const found = await look();
    holds(about(found, 'photos'), 'doubtful', /^1 photos .* of job open$/);
    holds(about(found, 'chains'), 'wrong', /job closed: photo 0{12} is missing/);
    holds(about(found, 'stray photos'), 'doubtful', /1 photos have been here over 30 days/);
    // The clock of the record is the machine's own: what is older than thirty days by it goes.
    holds(about(await look({ tidy: true }), 'stray photos'), 'fine', /1 were taken out/);
    holds(about(await look(), 'stray photos'), 'fine', /none/);
  });
});
