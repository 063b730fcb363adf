import { mkdirSync, readdirSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import { refuse } from '../input.ts';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

interface Options extends Which {
  readonly into?: string;
  readonly keep?: number;
}

export function backupCommand(program: Command): void {
  const command = program
    .command('backup')
    .summary('copy the record of jobs while it is in use')
    .description(
      'Writes one moment of the whole record into a new file. Put back as record.db into an empty folder it is the record again. A database is copied by its own program: then it prints how.',
    )
    .argument('[FILE]', 'a file that is not there yet')
    .option('--into <DIR>', 'a folder instead, in which the copy bears the time in its name')
    .option('--keep <N>', 'of the copies made with --into there, leave so many, the newest', howMany)
    .addHelpText('after', '\nExit code: 0 written, 1 it can not be written, 2 no record can be read.')
    .action(run);
  whichRecord(command);
}

async function run(file: string | undefined, { into, keep, ...which }: Options): Promise<void> {
  if ((file === undefined) === (into === undefined)) refuse('backup', 'wants either a FILE or --into');
  if (keep !== undefined && into === undefined) refuse('--keep', 'goes with --into');
  await withRecord(which, async (log) => {
    const path = resolve(file ?? join(into as string, nameOf(which.site, new Date())));
    if (into !== undefined) mkdirSync(into, { recursive: true, mode: 0o700 });
    await log.backup(path);
    console.log(`wrote ${path}`);
    if (into !== undefined && keep !== undefined) leave(into, which.site, keep);
  });
}

/** Names that sort as their times do. */
function nameOf(site: string | undefined, now: Date): string {
  return `${stem(site)}${now.toISOString().replaceAll(/[:.]/g, '-')}.db`;
}

function stem(site: string | undefined): string {
  return site === undefined ? 'record-' : `record-${site}-`;
}

/** Only what was made by this command for this site, whatever else lies in the folder; the oldest go first. */
function leave(folder: string, site: string | undefined, keep: number): void {
  const own = (name: string) =>
    name.startsWith(stem(site)) && /^\d{4}-\d\d-\d\dT[\d-]+Z\.db$/.test(name.slice(stem(site).length));
  const copies = readdirSync(folder).filter(own).sort();
  for (const name of copies.slice(0, Math.max(0, copies.length - keep))) {
    rmSync(join(folder, name));
    console.log(`removed ${resolve(folder, name)}`);
  }
}

function howMany(text: string): number {
  const number = Number(text);
  if (/^\d+$/.test(text) && number >= 1 && number <= 10_000) return number;
  throw new InvalidArgumentError('it wants a whole number from 1 on');
}
