import type { Command } from 'commander';
import { refuse } from '../input.ts';
import { printFlaws, withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

export function verifyCommand(program: Command): void {
  const command = program
    .command('verify')
    .summary('find what was changed in the record of jobs')
    .description(
      'Goes through the chain of every job, its personal fields and photos, and names what is not as it was written.',
    )
    .argument('[RO]', 'only this job')
    .option('--ends <CHARACTERS>', 'the last 12 characters of the chain, as printed on a hand-over of this job')
    .addHelpText('after', '\nExit code: 0 all as written, 1 flaws, 2 no record can be read.')
    .action(run);
  whichRecord(command);
}

async function run(ro: string | undefined, { ends, ...which }: Which & { readonly ends?: string }): Promise<void> {
  if (ends !== undefined && (ro === undefined || !/^[0-9a-f]{12}$/i.test(ends)))
    refuse('--ends', 'wants the RO, and 12 characters of 0 to 9 and a to f');
  await withRecord(which, async (log) => {
    let [jobs, events, awaited, flaws] = [0, 0, 0, 0];
    for await (const one of log.verify(ro === undefined ? undefined : [ro])) {
      if (one.events === 0 && one.flaws.length === 0) refuse('RO', `there is no job ${one.job}`);
      printFlaws(one.flaws);
      jobs++;
      events += one.events;
      awaited += one.awaited.length;
      flaws += one.flaws.length;
    }
    const photos = ro === undefined ? await log.verifyPhotos() : [];
    printFlaws(photos);
    flaws += photos.length;
    if (ro !== undefined && ends !== undefined && flaws === 0) flaws += await notPrinted(log, ro, ends.toLowerCase());
    console.error(`${jobs} jobs, ${events} events: ${flaws} flaws, ${awaited} photos awaited`);
    if (flaws > 0) process.exitCode = 1;
  });
}

/** A job reopened since has grown, so that the printed end may be any of its links. */
async function notPrinted(
  log: { read(job: string): Promise<{ entries: readonly { hash: string }[] } | undefined> },
  ro: string,
  ends: string,
): Promise<number> {
  const record = await log.read(ro);
  if (record?.entries.some((entry) => entry.hash.endsWith(ends))) return 0;
  console.log(`job ${ro}: no event ends in ${ends}: this is not the record that was printed`);
  return 1;
}
