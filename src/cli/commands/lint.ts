import type { Command } from 'commander';
import { type Fault, printFault } from '../../rulebook/fault.ts';
import { type Finding, lint } from '../../rulebook/lint/lint.ts';
import { EVERY_LINT } from '../../job/lint.ts';
import { Progress } from '../progress.ts';
import { loadFrom, RULES } from '../rules-folder.ts';

interface Options {
  readonly remarks?: boolean;
  readonly json?: boolean;
  readonly list?: boolean;
}

export function lintCommand(program: Command): void {
  program
    .command('lint')
    .summary('find faults in a rulebook')
    .description(
      'Reads a rulebook and reports every fault at once: shape, names, sources, examples, conditions, order.',
    )
    .argument('[DIR]', 'folder of the rulebook', RULES)
    .option('--remarks', 'show remarks too; they leave the exit code alone')
    .option('--json', 'findings as JSON')
    .option('--list', 'say what is checked, and stop')
    .addHelpText('after', '\nExit code: 0 no faults, 1 faults, 2 the folder can not be used.')
    .action(run);
}

async function run(folder: string, options: Options): Promise<void> {
  if (options.list) return list();
  const { rulebook, faults, files } = await loadFrom(folder);
  const progress = new Progress('lint');
  const findings = lint(rulebook, EVERY_LINT, files, (one, done) => progress.step(done, EVERY_LINT.length, one.says));
  const bad: Fault[] = [...faults, ...findings.filter((f) => f.severity === 'fault')];
  const remarks = findings.filter((f) => f.severity === 'remark');
  if (options.json) console.log(JSON.stringify([...faults, ...findings], null, 2));
  else print([...faults, ...findings.filter((f) => f.severity === 'fault' || options.remarks)]);
  const hidden = remarks.length > 0 && !options.remarks ? ' (--remarks shows them)' : '';
  console.error(
    `${rulebook.followUps.size} follow-ups: ${count(bad.length, 'fault')}, ${count(remarks.length, 'remark')}${hidden}`,
  );
  if (bad.length > 0) process.exitCode = 1;
}

function print(found: readonly (Fault | Finding)[]): void {
  for (const fault of found) {
    const mark = 'lint' in fault ? `${fault.severity === 'remark' ? 'remark, ' : ''}${fault.lint}` : 'load';
    console.log(`${printFault(fault)} [${mark}]`);
  }
}

function list(): void {
  for (const one of EVERY_LINT)
    console.log(`${one.id} (${one.scope}${one.severity === 'remark' ? ', remark' : ''}): ${one.says}`);
}

function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}
