import { resolve } from 'node:path';
import type { Command } from 'commander';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

export function backupCommand(program: Command): void {
  const command = program
    .command('backup')
    .summary('copy the record of jobs while it is in use')
    .description(
      'Writes one moment of the whole record into a new file. Put back as record.db into an empty folder it is the record again.',
    )
    .argument('<FILE>', 'a file that is not there yet')
    .addHelpText('after', '\nExit code: 0 written, 1 it can not be written, 2 no record can be read.')
    .action((file: string, which: Which) =>
      withRecord(which, async (log) => {
        await log.backup(resolve(file));
        console.log(`wrote ${resolve(file)}`);
      }),
    );
  whichRecord(command);
}
