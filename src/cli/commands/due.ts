import type { Command } from 'commander';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

export function dueCommand(program: Command): void {
  const command = program
    .command('due')
    .summary('list jobs that no longer have to be kept')
    .description(
      'Lists ended and open jobs that nobody wrote to for as long as the shop keeps its records: three years, or what its settings say. Nothing is deleted.',
    )
    .addHelpText('after', '\nExit code: 0 listed, also where there is none; 2 no record can be read.')
    .action((which: Which) =>
      withRecord(which, async (log) => {
        const due = await log.due();
        for (const { job, written, status } of due) console.log(`${job}\t${written.slice(0, 10)}\t${status}`);
        console.error(
          `${due.length} jobs are due: kept ${await log.keepYears()} years from the last event (16 CCR 3358: three at least)`,
        );
      }),
    );
  whichRecord(command);
}
