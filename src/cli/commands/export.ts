import type { Command } from 'commander';
import type { SqlLog } from '../../store/log/log.ts';
import { refuse } from '../input.ts';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

export function exportCommand(program: Command): void {
  const command = program
    .command('export')
    .summary('write out jobs with their photos')
    .description(
      'Writes whole jobs as JSON to standard output, one a line; before the first job that names it stands each rulebook they are pinned to. `schema --record` prints what is in a line. A flawed job is not written.',
    )
    .argument('[RO]', 'the job')
    .option('--all', 'all jobs')
    .option('--jobs-only', 'leave the rulebooks out: for a program from before they were carried')
    .addHelpText('after', '\nExit code: 0 written, 1 a job is flawed, 2 no such job or no record.')
    .action(run);
  whichRecord(command);
}

interface Options extends Which {
  readonly all?: boolean;
  readonly jobsOnly?: boolean;
}

async function run(ro: string | undefined, { all, jobsOnly, ...which }: Options): Promise<void> {
  if ((ro === undefined) === (all === undefined)) refuse('export', 'wants either an RO or --all');
  await withRecord(which, async (log) => {
    const jobs = ro === undefined ? (await log.heads()).map((head) => head.job).sort() : [ro];
    const carried = new Set<string>();
    for (const job of jobs) {
      const text = await log.exported(job);
      if (text === undefined) refuse('RO', `there is no job ${job}`);
      if (!jobsOnly) await carry(log, job, carried);
      await write(text);
    }
  });
}

/** The rulebooks of a job, each once in a file. */
async function carry(log: SqlLog, job: string, carried: Set<string>): Promise<void> {
  for (const version of await log.rulebooksOf(job)) {
    if (carried.has(version)) continue;
    carried.add(version);
    const line = await log.carriedRulebook(version);
    if (line === undefined) console.error(`rulebook ${version} is not kept here: job ${job} goes without it`);
    else await write(line);
  }
}

async function write(text: string): Promise<void> {
  if (!process.stdout.write(text)) await new Promise((done) => process.stdout.once('drain', done));
}
