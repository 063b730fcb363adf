import { resolve } from 'node:path';
import type { Command } from 'commander';
import { DATA, withRecord } from '../record.ts';

export function backupCommand(program: Command): void {
  program
    .command('backup')
    .summary('copy the record of jobs while it is in use')
    .description(
      'Writes one moment of the whole record into a new file. Put back as record.db into an empty folder it is the record again.',
    )
    .argument('<FILE>', 'a file that is not there yet')
    .option('--data <DIR>', 'where jobs are kept', DATA)
    .addHelpText('after', '\nExit code: 0 written, 1 it can not be written, 2 no record can be read.')
    .action((file: string, { data }: { data: string }) =>
      withRecord(data, async (log) => {
        await log.backup(resolve(file));
        console.log(`wrote ${resolve(file)}`);
      }),
    );
}
