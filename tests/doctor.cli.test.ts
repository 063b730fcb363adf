import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Finding } from '../src/cli/doctor/finding.ts';
import { openLog } from '../src/store/log/log.ts';
import { openDatabase } from '../src/store/open.ts';
import { install, type Program } from './drills/program.ts';
import { noPostgres, PASSWORD, startPostgres } from './postgres.ts';
import { line, opened } from './store.events.ts';

/** Each starts processes, and the machine may be at other things. */
const LONG = 120_000;

const top = mkdtempSync(join(tmpdir(), 'lastbolt-doctor-cli-'));
let program: Program;
let folder: string;
let count = 0;
const at = (...names: string[]) => join(folder, ...names);

beforeAll(async () => {
  program = await install(join(top, 'program'));
}, LONG);

beforeEach(() => {
  folder = join(top, `test-${++count}`);
  mkdirSync(folder);
});

afterAll(() => rmSync(top, { recursive: true, force: true }));

const config = (settings: object): string => {
  writeFileSync(at('config.json'), JSON.stringify({ port: 0, data: 'data', backups: 'backups', ...settings }));
  return at('config.json');
};

async function doctor(...args: string[]): Promise<{ code: number; worst: number; findings: Finding[] }> {
  const { code, out, err } = await program.run(['doctor', '--json', ...args]);
  expect(err).toBe('');
  return { code, ...(JSON.parse(out) as { worst: number; findings: Finding[] }) };
}

const notFine = (findings: readonly Finding[]) => findings.filter(({ is }) => is !== 'fine').map(({ about }) => about);

async function kept(data: string, now = new Date()): Promise<void> {
  const { log } = await openLog(data, { now: () => now });
  await log.append('a', 0, [opened('a'), line('2')]);
  await log.putPhoto(Uint8Array.of(0xff, 0xd8, 0xff), 'image/jpeg');
  await log.close();
}

describe('doctor', () => {
  test(
    'finds all fine with a server that is kept as it should be',
    async () => {
      const file = config({});
      await kept(at('data'));
      expect(await program.run(['backup', '--into', at('backups'), '--config', file])).toMatchObject({ code: 0 });
      const { code, worst, findings } = await doctor('--config', file);
      expect([code, worst, notFine(findings)]).toEqual([0, 0, []]);
      expect(findings.map(({ about }) => about)).toEqual(
        'Node,page,settings,data folder,disk,rulebook,port,backup,record,clock,chains,stray photos'.split(','),
      );
      const { out } = await program.run(['doctor', '--quick', '--config', file]);
      expect(out).toMatch(/^== fine =+\n- Node: version/);
      expect(out).not.toContain('chains');
    },
    LONG,
  );

  test(
    'says what is doubtful, with the way out, and takes strays away when it is told to',
    async () => {
      const file = config({});
      await kept(at('data'), new Date(Date.now() - 40 * 24 * 3_600_000));
      chmodSync(at('data'), 0o755);
      mkdirSync(at('backups'));
      const first = await program.run(['doctor', '--quick', '--config', file]);
      expect(first.code).toBe(2);
      expect(first.out.replaceAll(/\s+/g, ' ')).toContain(`chmod go-rwx ${at('data')}`);
      expect(first.out.replaceAll(/\s+/g, ' ')).toContain('`lastbolt doctor --tidy` takes them out');
      chmodSync(at('data'), 0o700);
      writeFileSync(at('backups', 'copy.db'), 'x');
      const { code, findings } = await doctor('--quick', '--tidy', '--config', file);
      expect([code, notFine(findings)]).toEqual([0, []]);
      expect(findings.at(-1)?.says).toBe('1 were taken out');
    },
    LONG,
  );

  test(
    'with settings that can not be used says so and looks no further',
    async () => {
      const { code, findings } = await doctor('--config', config({ port: 'many', hosts: 7 }));
      expect([code, notFine(findings)]).toEqual([2, ['settings']]);
      expect(findings.at(-1)?.says).toMatch(/port.*hosts/);
    },
    LONG,
  );

  test(
    'looks at every site, and says of which it speaks',
    async () => {
      const sites = { main: { name: 'Main', hosts: ['main.test'] }, north: { name: 'North', hosts: ['north.test'] } };
      const file = config({ sites });
      await kept(at('data'));
      mkdirSync(at('data/sites/north'), { recursive: true });
      writeFileSync(at('data/sites/north/record.db'), 'no database at all, but some words of it'.repeat(50), {
        mode: 0o600,
      });
      const { code, findings } = await doctor('--quick', '--config', file);
      const records = findings.filter(({ about }) => about === 'record').map(({ site, is }) => [site, is]);
      expect([code, records]).toEqual([
        2,
        [
          ['main', 'fine'],
          ['north', 'wrong'],
        ],
      ]);
      const { findings: one } = await doctor('--quick', '--config', file, '--site', 'main');
      expect(one.filter(({ about }) => about === 'record').map(({ is }) => is)).toEqual(['fine']);
    },
    LONG,
  );

  test.skipIf(noPostgres !== undefined)(
    'looks into a database, and never shows its password',
    async () => {
      const postgres = await startPostgres();
      const file = config({ database: postgres.url });
      const database = await openDatabase(postgres.url);
      const { log } = await openLog({ database, site: 'main' });
      await log.append('a', 0, [opened('a')]);
      await log.close();
      await database.close();
      const there = await program.run(['doctor', '--quick', '--json', '--config', file]);
      await postgres.stop();
      const gone = await program.run(['doctor', '--quick', '--json', '--config', file]);
      const of = ({ out }: { out: string }) => (JSON.parse(out) as { findings: Finding[] }).findings;
      const about = (what: string, findings: Finding[]) =>
        findings.filter((one) => one.about === what).map(({ is }) => is);
      // This one runs without fsync, which is said of it.
      expect(about('database', of(there))).toEqual(['fine', 'doubtful']);
      expect(about('record', of(there))).toEqual(['fine']);
      expect(of(there).find((one) => one.about === 'clock')?.says).toMatch(/as in the database$/);
      expect([gone.code, about('database', of(gone))]).toEqual([2, ['wrong']]);
      for (const { out, err } of [there, gone])
        for (const secret of [PASSWORD, encodeURIComponent(PASSWORD)]) expect(out + err).not.toContain(secret);
    },
    LONG,
  );
});

describe('backup', () => {
  test(
    '--into leaves the newest, and nothing that is not its own is removed',
    async () => {
      await kept(at('data'));
      mkdirSync(at('copies'));
      for (const name of [
        'record-2026-01-01T00-00-00-000Z.db',
        'record-2026-01-02T00-00-00-000Z.db',
        'record.db',
        'notes.txt',
      ])
        writeFileSync(at('copies', name), 'x');
      const { code, out } = await program.run(['backup', '--into', at('copies'), '--keep', '2', '--data', at('data')]);
      expect([code, out.split('\n')]).toEqual([
        0,
        [
          expect.stringMatching(/^wrote .*record-.*Z\.db$/),
          `removed ${at('copies', 'record-2026-01-01T00-00-00-000Z.db')}`,
          '',
        ],
      ]);
      expect(readdirSync(at('copies')).length).toBe(4);
      const newest = readdirSync(at('copies')).filter((name) => name > 'record-2026-06')[0] as string;
      mkdirSync(at('again'));
      writeFileSync(at('again', 'record.db'), readFileSync(at('copies', newest)));
      expect(await program.run(['verify', '--data', at('again')])).toMatchObject({ code: 0 });
    },
    LONG,
  );

  test.each([[[]], [['a.db', '--into', 'b']], [['a.db', '--keep', '3']], [['--into', 'b', '--keep', '0']]])(
    'is not understood by halves: %j',
    async (args) => {
      expect((await program.run(['backup', ...args, '--data', at('data')])).code).toBe(2);
      expect(existsSync(at('data'))).toBe(false);
    },
    LONG,
  );
});

describe('service', () => {
  test(
    'prints the unit with the paths of this machine',
    async () => {
      const { code, out } = await program.run(['service', '--config', config({ log: { file: 'logs/server.log' } })]);
      expect(code).toBe(0);
      expect(out).toContain(`ExecStart=${process.execPath} ${join(program.folder, 'dist/cli/main.js')} serve\n`);
      expect(out).toContain(`Environment=LASTBOLT_CONFIG=${at('config.json')}\n`);
      // What the settings name is theirs, and may be written to.
      for (const written of ['data', 'backups', 'logs']) expect(out).toContain(`ReadWritePaths=${at(written)}\n`);
      expect(out).not.toContain('LASTBOLT_DATA=');
    },
    LONG,
  );

  test(
    'writes all three where it is told to; of a database only the server’s',
    async () => {
      const { out } = await program.run(['service', '--write', folder]);
      expect(readdirSync(folder).sort()).toEqual([
        'lastbolt-backup.service',
        'lastbolt-backup.timer',
        'lastbolt.service',
      ]);
      expect(out).toContain('systemctl enable --now lastbolt.service lastbolt-backup.timer');
      writeFileSync(at('address'), 'postgres://u:p@h/d');
      const timer = await program.run(['service', 'timer', '--database', at('address')]);
      expect([timer.code, timer.err]).toEqual([2, expect.stringContaining('backed up by its own program')]);
      expect((await program.run(['service', '--database', at('none')])).code).toBe(2);
    },
    LONG,
  );
});
