import { existsSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { Argument, type Command } from 'commander';
import { backupTimer, backupUnit, type Place, SERVICE, serverUnit, STATE } from '../../server/service/unit.ts';
import { readConfig } from '../../server/config-read.ts';
import { BUILT } from '../../server/version.ts';
import { reason, refuse, Unusable } from '../input.ts';

const UNITS = { server: `${SERVICE}.service`, backup: `${SERVICE}-backup.service`, timer: `${SERVICE}-backup.timer` };

interface Options {
  readonly config?: string;
  readonly database?: string;
  readonly token?: string;
  readonly user?: string;
  readonly write?: string;
}

export function serviceCommand(program: Command): void {
  program
    .command('service')
    .summary('print a systemd unit for this machine')
    .description(
      `Prints the unit by which systemd runs the server, with this machine's paths in it; or that of a copy of the record once a day, and its timer. The record is then in ${STATE}, which systemd makes.`,
    )
    .addArgument(new Argument('[UNIT]', 'which one').choices(Object.keys(UNITS)).default('server'))
    .option('--config <FILE>', 'how the server is set up')
    .option('--database <FILE>', 'file that holds the address of the database; read by systemd and handed over')
    .option('--token <FILE>', 'file that holds the token of the figures, likewise')
    .option('--user <NAME>', 'an account that is there already; left out, systemd makes one while it runs')
    .option('--write <DIR>', 'write all three there, such as /etc/systemd/system, instead of printing')
    .addHelpText('after', '\nExit code: 0 printed or written, 2 it can not be.')
    .action(run);
}

function run(unit: keyof typeof UNITS, options: Options): void {
  if (!existsSync(BUILT.main)) refuse(BUILT.main, 'is not built', 'run `npm run build`');
  const place = placeFor(options);
  const onDatabase = place.database !== undefined;
  if (onDatabase && unit !== 'server')
    refuse(unit, 'a database is backed up by its own program', '`lastbolt backup` prints how');
  const all = { server: serverUnit(place), backup: backupUnit(place), timer: backupTimer() };
  if (options.write === undefined) process.stdout.write(all[unit]);
  else write(options.write, onDatabase ? { server: all.server } : all);
  mindHome(place);
}

function placeFor({ config, database, token, user }: Options): Place {
  for (const [option, file] of Object.entries({ '--database': database, '--token': token }))
    if (file !== undefined && !existsSync(file)) refuse(option, `no such file: ${file}`);
  // What the surroundings of this shell say is not what the service will hear.
  const { settings, said, faults } = readConfig({ file: config, env: {} });
  if (faults.length > 0) throw new Unusable(faults);
  if (config !== undefined && settings.database !== undefined && settings['database-file'] === undefined)
    console.error(
      'mind: the address of the database stands in the settings; --database hands it over from a file of its own',
    );
  const isSaid = (field: string) => said.some(({ path, from }) => path.join() === field && from !== 'default');
  const data = isSaid('data') ? { data: settings.data } : {};
  const backups = settings.backups === undefined ? {} : { backups: settings.backups };
  const writes = [data.data, backups.backups, settings.log && dirname(settings.log.file)].filter(
    (folder) => folder !== undefined && folder !== STATE && !folder.startsWith(`${STATE}/`),
  );
  return {
    node: process.execPath,
    main: BUILT.main,
    port: settings.port,
    writes: [...new Set(writes as string[])],
    ...data,
    ...backups,
    ...(settings.sites ? { sites: Object.keys(settings.sites) } : {}),
    ...(config === undefined ? {} : { config: resolve(config) }),
    ...(database === undefined ? {} : { database: resolve(database) }),
    ...(token === undefined ? {} : { token: resolve(token) }),
    ...(user === undefined ? {} : { user }),
  };
}

function write(folder: string, texts: Partial<Record<keyof typeof UNITS, string>>): void {
  const names = Object.entries(texts).map(([unit, text]) => [UNITS[unit as keyof typeof UNITS], text] as const);
  for (const [name, text] of names) {
    const path = join(folder, name);
    try {
      writeFileSync(path, text);
    } catch (error) {
      refuse(path, reason(error as NodeJS.ErrnoException).replace('read', 'written'));
    }
    console.log(`wrote ${path}`);
  }
  console.log(
    `then: systemctl daemon-reload; systemctl enable --now ${UNITS.server}${texts.timer ? ` ${UNITS.timer}` : ''}`,
  );
}

function mindHome({ main, node }: Place): void {
  const inHome = [node, main].find((path) => path.startsWith('/root/') || path.startsWith('/home/'));
  if (inHome)
    console.error(`mind: ${inHome} lies in somebody's home, where the service's account may not look: /opt is better`);
}
