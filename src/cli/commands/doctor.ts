import type { Command } from 'commander';
import { printFault } from '../../rulebook/fault.ts';
import { readConfig } from '../../server/config-read.ts';
import { type Settings } from '../../server/config-settings.ts';
import type { Database } from '../../store/open.ts';
import { type Finding, wrong, worst } from '../doctor/finding.ts';
import { dataFolder, freeDisk, nodeVersion, pageBuilt } from '../doctor/machine.ts';
import { heading, wrap } from '../page.ts';
import { readRules, RULES } from '../rules-folder.ts';
import { siteIn, type Which, whichRecord } from '../settings.ts';

interface Options extends Which {
  readonly quick?: boolean;
  readonly tidy?: boolean;
  readonly json?: true;
}

export function doctorCommand(program: Command): void {
  const command = program
    .command('doctor')
    .summary('what is fine, doubtful or wrong with this server')
    .description(
      'Looks at the machine, the settings, the rulebook, the certificate, the port, backups and the record of every site, and says what to do about each. It changes nothing, but for --tidy. What it says names jobs: mind whom you send it to.',
    )
    .option('--quick', 'without going through rules, chains and photos one by one')
    .option('--tidy', 'take photos out whose event did not come within thirty days')
    .option('--json', 'findings as JSON')
    .addHelpText('after', '\nExit code: 0 all is fine, 1 something is doubtful, 2 something is wrong.')
    .action(run);
  whichRecord(command);
}

async function run(options: Options): Promise<void> {
  const findings = await found(options);
  if (options.json) console.log(JSON.stringify({ worst: worst(findings), findings }, null, 2));
  else print(findings);
  process.exitCode = worst(findings);
}

async function found({ config, data, site, quick = false, tidy = false }: Options): Promise<Finding[]> {
  const machine = [nodeVersion(), pageBuilt()];
  const { settings, faults } = readConfig({ file: config, options: data === undefined ? {} : { data } });
  if (faults.length > 0) {
    const says = faults.map(printFault).join('; ');
    return [...machine, wrong('settings', says, 'the server does not start with them; nothing further was looked at')];
  }
  const ids = site === undefined ? Object.keys(settings.sites ?? { main: true }) : [siteIn({ settings }, site)];
  const { rulebook, certificate, lastBackup, port } = await import('../doctor/outside.ts');
  const now = new Date();
  const files = await readRules(RULES);
  const { loadRulebook } = await import('../../rulebook/load.ts');
  const shown = certificate(settings, now);
  return [
    ...machine,
    {
      about: 'settings',
      is: 'fine',
      says: settings.sites ? `${ids.length} of ${Object.keys(settings.sites).length} sites` : 'one site',
    },
    dataFolder(settings.data),
    freeDisk(settings.data),
    rulebook(files, quick),
    ...(shown ? [shown] : []),
    await port(settings, loadRulebook(files).rulebook.version),
    lastBackup(settings.backups, now),
    ...(await records(settings, ids, data === undefined, { now, quick, tidy })),
  ];
}

async function records(
  settings: Settings,
  ids: readonly string[],
  onDatabase: boolean,
  looking: { readonly now: Date; readonly quick: boolean; readonly tidy: boolean },
): Promise<Finding[]> {
  const { record } = await import('../doctor/record.ts');
  const { openDatabase } = await import('../../store/open.ts');
  const { placeOf } = await import('../../server/sites.ts');
  const { Unavailable } = await import('../../store/log/contract.ts');
  let database: Database | undefined;
  const findings: Finding[] = [];
  try {
    // A folder on the command line is before a database that the surroundings name.
    if (settings.database !== undefined && onDatabase) database = await openDatabase(settings.database, { max: 2 });
    if (database) findings.push({ about: 'database', is: 'fine', says: database.shown });
    for (const doubt of database?.doubts ?? [])
      findings.push({ about: 'database', is: 'doubtful', says: doubt, do: 'ask whoever runs the database' });
    for (const id of ids) {
      const own = await record(placeOf(settings, id, database), looking);
      findings.push(...own.map((one) => (ids.length > 1 ? { ...one, site: id } : one)));
    }
  } catch (error) {
    if (!(error instanceof Unavailable)) throw error;
    findings.push(wrong('database', error.message, 'nothing is kept before it can be reached'));
  } finally {
    await database?.close();
  }
  return findings;
}

function print(findings: readonly Finding[]): void {
  for (const is of ['wrong', 'doubtful', 'fine'] as const) {
    const own = findings.filter((finding) => finding.is === is);
    if (own.length === 0) continue;
    console.log(heading(is));
    for (const finding of own) {
      const of = finding.site === undefined ? '' : ` (${finding.site})`;
      const todo = finding.do === undefined ? '' : `; ${finding.do}`;
      for (const line of wrap(`${finding.about}${of}: ${finding.says}${todo}`, '- ')) console.log(line);
    }
  }
}
