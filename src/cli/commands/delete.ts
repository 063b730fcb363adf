import type { Command } from 'commander';
import { refuse } from '../input.ts';
import { Refused } from '../../store/log/contract.ts';
import type { SqlLog } from '../../store/log/log.ts';
import { photosIn } from '../../store/log/photos.ts';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

interface Options extends Which {
  readonly because?: string;
  readonly by?: string;
  readonly personal?: readonly string[];
  readonly allPersonal?: boolean;
  readonly photo?: string;
}

export function deleteCommand(program: Command): void {
  const command = program
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
    .option('--photo <HASH>', 'remove the picture whose hash begins like this, at least 8 characters of it')
    .addHelpText('after', '\nExit code: 0 done, 1 the job has to be kept or there is none, 2 no record can be read.')
    .action(run);
  whichRecord(command);
}

async function run(ro: string, options: Options): Promise<void> {
  const { because, by, personal, allPersonal, photo } = options;
  const parts = [personal, allPersonal, photo].filter((part) => part !== undefined).length;
  if (parts > 1) refuse('delete', 'wants one of --personal, --all-personal and --photo');
  if (photo !== undefined && !/^[0-9a-f]{8,64}$/.test(photo))
    refuse('--photo', 'wants 8 to 64 characters of 0 to 9 and a to f');
  if (parts > 0 && (because !== undefined || by !== undefined))
    refuse('delete', 'wants --because and --by only where the whole job is deleted');
  if (parts === 0 && (because === undefined || by === undefined))
    refuse(
      'delete',
      'wants --because and --by: they stay in place of the job',
      '--personal and --photo remove only that',
    );
  await withRecord(options, async (log) => {
    if (photo !== undefined) return removePhoto(log, ro, photo);
    if (parts > 0) {
      const removed = await log.removePersonal(ro, personal);
      console.log(`job ${ro}: ${removed} personal fields removed; its chain still verifies`);
      return;
    }
    await log.delete(ro, { by: by ?? '', because: because ?? '' });
    console.log(`job ${ro} is deleted`);
  });
}

async function removePhoto(log: SqlLog, ro: string, begins: string): Promise<void> {
  const record = await log.read(ro);
  if (!record) throw new Refused(`there is no job ${ro}`);
  const hashes = new Set(record.entries.flatMap(({ event }) => photosIn(event)));
  const [hash, ...more] = [...hashes].filter((one) => one.startsWith(begins));
  if (hash === undefined) throw new Refused(`job ${ro} shows no photo ${begins}`);
  if (more.length > 0) throw new Refused(`job ${ro} shows ${more.length + 1} photos ${begins}: give more of the hash`);
  await log.removePhoto(hash);
  console.log(`job ${ro}: photo ${hash.slice(0, 12)} removed; its hash stays, and the chain still verifies`);
}
