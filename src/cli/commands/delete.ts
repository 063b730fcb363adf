import type { Command } from 'commander';
import { refuse } from '../input.ts';
import { DATA, withRecord } from '../record.ts';

interface Options {
  readonly data: string;
  readonly because?: string;
  readonly by?: string;
  readonly personal?: readonly string[];
  readonly allPersonal?: boolean;
}

export function deleteCommand(program: Command): void {
  program
    .command('delete')
    .summary('take a job out of the record, or personal words out of a job')
    .description(
      'Deletes a job whose time is over; its number, the end of its chain, who deleted it and why stay. Or removes personal words from a job at any time: names, VIN, whatever people wrote. The work and its figures stay, and the chain still verifies.',
    )
    .argument('<RO>', 'the job')
    .option('--because <REASON>', 'why the job is deleted')
    .option('--by <NAME>', 'who deletes it')
    .option('--personal <WORDS...>', 'remove these words, each as it stands in the record')
    .option('--all-personal', 'remove all personal words, also the names of who did the work')
    .option('--data <DIR>', 'where jobs are kept', DATA)
    .addHelpText('after', '\nExit code: 0 done, 1 the job has to be kept or there is none, 2 no record can be read.')
    .action(run);
}

async function run(ro: string, { data, because, by, personal, allPersonal }: Options): Promise<void> {
  if (personal && allPersonal) refuse('delete', 'wants either --personal or --all-personal');
  const words = personal !== undefined || allPersonal === true;
  if (words && (because !== undefined || by !== undefined))
    refuse('delete', 'wants --because and --by only where the whole job is deleted');
  if (!words && (because === undefined || by === undefined))
    refuse('delete', 'wants --because and --by: they stay in place of the job', '--personal removes only words');
  await withRecord(data, async (log) => {
    if (words) {
      const removed = await log.removePersonal(ro, personal);
      console.log(`job ${ro}: ${removed} personal fields removed; its chain still verifies`);
      return;
    }
    await log.delete(ro, { by: by ?? '', because: because ?? '' });
    console.log(`job ${ro} is deleted`);
  });
}
