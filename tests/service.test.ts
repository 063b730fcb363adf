import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, test } from 'vitest';
import { LEAVES } from '../src/server/config-leaves.ts';
import { backupTimer, backupUnit, type Place, serverUnit } from '../src/server/service/unit.ts';

const top = fileURLToPath(new URL('..', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'lastbolt-service-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const file = (name: string, text = '') => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};

const bare: Place = { node: process.execPath, main: file('main.js') };
const PLACES: readonly (readonly [string, Place])[] = [
  ['as it comes', bare],
  [
    'with everything',
    {
      ...bare,
      config: file('config 1%.json'),
      database: file('database'),
      token: file('token'),
      port: 443,
      writes: [join(folder, 'logs')],
      sites: ['north', 'south'],
    },
  ],
  ['under an account of its own', { ...bare, user: 'daemon' }],
  ['below a home', { ...bare, main: '/home/shop/lastbolt/dist/cli/main.js' }],
];

/** Lines of a unit by section and name; a name may stand in several. */
function read(unit: string): Map<string, string[]> {
  const found = new Map<string, string[]>();
  let section = '';
  for (const line of unit.split('\n')) {
    const head = /^\[(\w+)\]$/.exec(line);
    if (head) section = head[1] as string;
    const told = /^(\w+)=(.*)$/.exec(line);
    if (told) found.set(`${section}.${told[1]}`, [...(found.get(`${section}.${told[1]}`) ?? []), told[2] as string]);
    if (!head && !told) expect(line).toBe('');
  }
  return found;
}

const hasAnalyze = spawnSync('systemd-analyze', ['--version']).status === 0;

describe('the unit of the server', () => {
  test.each(PLACES)('%s: is walled in, restarted when it dies, and hands secrets over as credentials', (_, place) => {
    const unit = read(serverUnit(place));
    for (const [name, is] of [
      ['NoNewPrivileges', 'yes'],
      ['ProtectSystem', 'strict'],
      ['PrivateTmp', 'yes'],
      ['Restart', 'on-failure'],
      ['RestartPreventExitStatus', '2'],
      ['StateDirectory', 'lastbolt lastbolt/backups'],
      ['UMask', '0077'],
    ] as const)
      expect([name, unit.get(`Service.${name}`)]).toEqual([name, [is]]);
    // Nothing feeds a watchdog: said, it would kill a server that is well.
    expect(unit.has('Service.WatchdogSec')).toBe(false);
    expect(unit.has('Service.MemoryDenyWriteExecute')).toBe(false);
  });

  test('names only variables that the settings know, and no secret itself', () => {
    const text = serverUnit(PLACES[1]?.[1] as Place);
    const known = ['NODE_ENV', 'LASTBOLT_CONFIG', ...LEAVES.map(({ variable }) => variable)];
    const named =
      read(text)
        .get('Service.Environment')
        ?.map((one) => /^"?(\w+)=/.exec(one)?.[1] ?? one) ?? [];
    expect(named.length).toBe(6);
    for (const one of named) expect(known).toContain(one);
    expect(text).toContain(`LoadCredential=database:${join(folder, 'database')}`);
    expect(text).toContain('Environment=LASTBOLT_DATABASE_FILE=%d/database');
    expect(text).toContain('config 1%%.json');
  });

  test('takes the right to a small port only where it is asked for', () => {
    expect(read(serverUnit({ ...bare, port: 4471 })).get('Service.CapabilityBoundingSet')).toEqual(['']);
    expect(read(serverUnit({ ...bare, port: 443 })).get('Service.AmbientCapabilities')).toEqual([
      'CAP_NET_BIND_SERVICE',
    ]);
  });
});

describe.skipIf(!hasAnalyze)('systemd itself', () => {
  const verify = (...units: readonly string[]) =>
    spawnSync('systemd-analyze', ['verify', '--man=no', '--recursive-errors=no', ...units], { encoding: 'utf8' });

  test.each(PLACES.slice(0, 3))('%s: finds no fault', (_, place) => {
    const server = file('lastbolt.service', serverUnit(place));
    const backup = file('lastbolt-backup.service', backupUnit(place));
    const timer = file('lastbolt-backup.timer', backupTimer());
    const { status, stderr } = verify(server, backup, timer);
    const ours = stderr.split('\n').filter((line) => line.includes('lastbolt'));
    expect([status, ours]).toEqual([0, []]);
  });

  test('would find one', () => {
    const broken = file('broken.service', serverUnit(bare).replace('ProtectSystem=strict', 'ProtectSystem=perhaps'));
    expect(verify(broken).stderr).toMatch(/Failed to parse.*perhaps/);
  });

  test.each(PLACES.slice(0, 3))('%s: counts little exposure (2 of 10 at most)', (_, place) => {
    const path = file('lastbolt.service', serverUnit(place));
    // The threshold is ten times the figure that is printed.
    const told = execFileSync('systemd-analyze', ['security', '--no-pager', '--offline=true', '--threshold=20', path], {
      encoding: 'utf8',
    });
    expect(told).toMatch(/Overall exposure level for lastbolt\.service: [01]\.\d OK/);
  });
});

describe('the container file', () => {
  const text = readFileSync(join(top, 'src/server/service/Containerfile'), 'utf8');
  /** Comments out, lines that go on joined. */
  const steps = text
    .replaceAll(/^\s*#.*\n/gm, '')
    .replaceAll(/\\\n\s*/g, '')
    .split('\n')
    .filter((line) => line.trim() !== '')
    .map((line) => /^([A-Z]+) (.+)$/.exec(line) ?? [line, '?', '']);
  const all = (name: string) => steps.filter(([, step]) => step === name).map(([, , rest = '']) => rest);

  test('has two stages, of which the second is not root and keeps its data apart', () => {
    const known = 'ARG FROM WORKDIR COPY RUN ENV USER VOLUME EXPOSE STOPSIGNAL HEALTHCHECK ENTRYPOINT CMD'.split(' ');
    expect(steps.filter(([, step = '']) => !known.includes(step))).toEqual([]);
    expect(all('FROM')).toEqual(['${NODE} AS build', '${NODE}']);
    expect(all('USER')).toEqual(['1000:1000']);
    expect(all('VOLUME')).toEqual(['/data']);
    expect(text).toContain('Pin the image');
  });

  test('copies what is there, and takes from the first stage only what it makes', () => {
    for (const copy of all('COPY').filter((one) => !one.startsWith('--from=')))
      for (const source of copy.split(' ').slice(0, -1))
        expect([source, spawnSync('git', ['ls-files', '--error-unmatch', source], { cwd: top }).status]).toEqual([
          source,
          0,
        ]);
    const made = all('COPY').filter((one) => one.startsWith('--from=build'));
    expect(made.map((one) => one.split(' ').at(-1))).toEqual(['./', './node_modules', './rules', './dist']);
  });

  test('names only variables that the settings know', () => {
    const named = [
      ...all('ENV')
        .join(' ')
        .matchAll(/(\w+)=/g),
    ].map(([, name]) => name);
    expect(named).toEqual(['NODE_ENV', 'LASTBOLT_DATA', 'LASTBOLT_NETWORK']);
    const known = ['NODE_ENV', ...LEAVES.map(({ variable }) => variable)];
    for (const one of named) expect(known).toContain(one);
  });

  test.each([
    ['well', 0, 200],
    ['ill', 1, 503],
  ])('its check tells a server that is %s', async (_, code, status) => {
    const { createServer } = await import('node:http');
    const server = createServer((asked, answer) => {
      answer.statusCode = asked.url === '/api/health' ? status : 404;
      answer.end('{}');
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    const { port } = server.address() as { port: number };
    const check = JSON.parse(/CMD (\[.*\])$/.exec(all('HEALTHCHECK')[0] ?? '')?.[1] ?? '[]') as string[];
    expect(check[0]).toBe('node');
    const { spawn } = await import('node:child_process');
    const child = spawn(process.execPath, check.slice(1), { env: { ...process.env, LASTBOLT_PORT: String(port) } });
    const is = await new Promise<number | null>((done) => child.on('close', done));
    server.close();
    expect(is).toBe(code);
  });
});
