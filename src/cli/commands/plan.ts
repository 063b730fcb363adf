import type { Command } from 'commander';
import { checklist } from '../../checklist.ts';
import { readJob } from '../input.ts';
import { planText } from '../plan-text.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

interface Options {
  readonly json?: boolean;
  readonly all?: boolean;
  readonly strict?: boolean;
  readonly rules: string;
}

export function planCommand(program: Command): void {
  program
    .command('plan')
    .summary('what a job still needs, in order')
    .description(
      'Reads a job and prints its whole checklist: what is needed, in which order and why, and what is undecided.',
    )
    .argument('<FILE>', 'job file; - reads standard input')
    .option('--json', 'the checklist as JSON')
    .option('--all', 'tell of every follow-up left out, and why')
    .option('--strict', 'exit code 1 while anything is undecided')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 planned, 1 something is undecided (with --strict), 2 unusable input.')
    .action(run);
}

async function run(file: string, options: Options): Promise<void> {
  const rulebook = await rulebookIn(options.rules);
  const facts = await readJob(file, rulebook);
  if (facts.work.length > 100)
    console.error(`plan: ${facts.work.length} work lines against ${rulebook.followUps.size} follow-ups`);
  const list = checklist(facts, rulebook, { all: options.all ?? false });
  console.log(options.json ? JSON.stringify(list, null, 2) : planText(list, facts, rulebook));
  if (options.strict && list.undecided.length > 0) process.exitCode = 1;
}
