import type { Command } from 'commander';
import { refuse } from '../input.ts';
import { DATA, withRecord } from '../record.ts';

export function exportCommand(program: Command): void {
  program
    .command('export')
    .summary('write out jobs with their photos')
    .description(
      'Writes whole jobs as JSON to standard output, one a line; `schema --record` prints what is in it. A flawed job is not written.',
    )
    .argument('[RO]', 'the job')
    .option('--all', 'all jobs')
    .option('--data <DIR>', 'where jobs are kept', DATA)
    .addHelpText('after', '\nExit code: 0 written, 1 a job is flawed, 2 no such job or no record.')
    .action(run);
}

async function run(ro: string | undefined, { all, data }: { all?: boolean; data: string }): Promise<void> {
  if ((ro === undefined) === (all === undefined)) refuse('export', 'wants either an RO or --all');
  await withRecord(data, async (log) => {
    const jobs = ro === undefined ? (await log.heads()).map((head) => head.job).sort() : [ro];
    for (const job of jobs) {
      const text = await log.exported(job);
      if (text === undefined) refuse('RO', `there is no job ${job}`);
      if (!process.stdout.write(text)) await new Promise((done) => process.stdout.once('drain', done));
    }
  });
}
