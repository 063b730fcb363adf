import type { Command } from 'commander';
import { checklist } from '../../checklist.ts';
import type { Question } from '../../resolve/result.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { readJob } from '../input.ts';
import { wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

interface Options {
  readonly json?: boolean;
  readonly rules: string;
}

export function askCommand(program: Command): void {
  program
    .command('ask')
    .summary('what to find out about the car, best question first')
    .description(
      'Prints the questions whose answers can still change the list of a job, best first, with what each settles.',
    )
    .argument('<FILE>', 'job file; - reads standard input')
    .option('--json', 'the questions as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 told, 2 unusable input.')
    .action(run);
}

async function run(file: string, options: Options): Promise<void> {
  const rulebook = await rulebookIn(options.rules);
  const { questions } = checklist(await readJob(file, rulebook), rulebook);
  console.log(options.json ? JSON.stringify(questions, null, 2) : askText(questions, rulebook).join('\n'));
}

function askText(questions: readonly Question[], rulebook: Rulebook): string[] {
  const open = questions.filter((q) => q.answered === undefined);
  const answered = questions.filter((q) => q.answered !== undefined);
  const lines = open.flatMap((question, i) => questionText(question, i + 1, rulebook));
  if (open.length === 0) lines.push('Nothing left to ask: no answer can change the list.');
  if (answered.length === 0) return lines;
  return [
    ...lines,
    '',
    'Answered, and open to correction:',
    ...answered.flatMap((q) => wrap(`${q.text} ${wording(q, q.answered as string)}`, '  - ')),
  ];
}

function questionText(question: Question, number: number, rulebook: Rulebook): string[] {
  const indent = '     ';
  const settles = question.settles.map((id) => rulebook.followUps.get(id)?.title ?? id);
  const answers = question.answers.map((a) => (a.text === a.value ? a.value : `${a.value} (${a.text})`));
  return [
    ...wrap(`${question.safety ? 'SAFETY ' : ''}${question.text}`, `${String(number).padStart(3)}. `),
    ...wrap(question.id, `${indent}id: `),
    ...(question.howToTell ? wrap(question.howToTell, `${indent}how to tell: `) : []),
    ...(answers.length > 0 ? wrap(answers.join(' / '), `${indent}answers: `) : []),
    ...(settles.length > 0 ? wrap(settles.join(', '), `${indent}settles: `) : []),
  ];
}

function wording({ answers }: Question, value: string): string {
  return answers.find((a) => a.value === value)?.text ?? value;
}
