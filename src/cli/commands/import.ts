import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import type { Command } from 'commander';
import { readCarried } from '../../store/log/carried.ts';
import { readExported } from '../../store/log/import.ts';
import { reason, refuse } from '../input.ts';
import { withRecord } from '../record.ts';
import { type Which, whichRecord } from '../settings.ts';

export function importCommand(program: Command): void {
  const command = program
    .command('import')
    .summary('take in jobs that were exported')
    .description(
      'Verifies a whole file first and then adds what is missing, each job whole or not at all, and the rulebooks that came with them. Running it again is harmless.',
    )
    .argument('<FILE>', 'as written by export')
    .addHelpText(
      'after',
      '\nExit code: 0 all taken in, 1 a job is flawed or tells another story, 2 the file can not be read.',
    )
    .action(run);
  whichRecord(command, 'folder in which jobs are kept, made if there is none; .lastbolt when left out');
}

async function run(file: string, which: Which): Promise<void> {
  const found = await stat(file).catch((error: NodeJS.ErrnoException) => refuse(file, reason(error)));
  if (found.isDirectory()) refuse(file, 'is a folder', 'name one file in it');
  const take = async (each: (text: string) => void | Promise<void>): Promise<void> => {
    let line = 0;
    for await (const text of createInterface({ input: createReadStream(file), crlfDelay: Infinity })) {
      line++;
      if (text.trim() === '') continue;
      await Promise.resolve(text)
        .then(each)
        .catch((error: unknown) => {
          if (error instanceof Error) error.message = `${file}, line ${line}: ${error.message}`;
          throw error;
        });
    }
    if (line === 0) refuse(file, 'is empty');
  };
  await withRecord(
    which,
    async (log) => {
      await take((text) => void (readCarried(text) ?? readExported(text)));
      await take(async (text) => {
        const rulebook = readCarried(text);
        if (rulebook) {
          const was = await log.keepCarried(rulebook);
          return console.log(`rulebook ${rulebook.version}: ${was === 'same' ? 'it is here already' : 'kept'}`);
        }
        const { job, was, added } = await log.import(text);
        console.log(`job ${job}: ${was === 'same' ? 'nothing was missing' : `${added} events added`}`);
      });
    },
    { create: true },
  );
}
