import type { Command } from 'commander';
import { fold } from '../../job/evolve.ts';
import { type Learned, Learning, lessonOf, type RuleCount } from '../../job/learning.ts';
import { passedOverText } from '../../job/learning/words.ts';
import { loadRulebook } from '../../rulebook/load.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { Tampered } from '../../store/log/contract.ts';
import type { SqlLog } from '../../store/log/log.ts';
import { heading, wrap } from '../page.ts';
import { withRecord } from '../record.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';
import { type Which, whichRecord } from '../settings.ts';

interface Options extends Which {
  readonly json?: boolean;
  readonly rules: string;
}

export function learningCommand(program: Command): void {
  const command = program
    .command('learning')
    .summary('what finished jobs say of the rules')
    .description(
      'Counts over the jobs on record what became of each rule: called for, done, passed over and why, said to be wrong or missing, and what brought cars back. Rules are judged, not people: no name is in it.',
    )
    .option('--json', 'the counts as JSON')
    .option('--rules <DIR>', 'folder of the rulebook, for the titles', RULES)
    .addHelpText('after', '\nExit code: 0 counted, 1 a job is flawed and was left out, 2 no record can be read.')
    .action(run);
  whichRecord(command);
}

async function run({ json, rules, ...which }: Options): Promise<void> {
  const today = await rulebookIn(rules);
  await withRecord(which, async (log) => {
    const learning = new Learning();
    const bookOf = booksOf(log, today);
    const jobs = (await log.heads()).map(({ job }) => job).sort();
    for (const ro of jobs) {
      try {
        const record = await log.read(ro);
        if (!record) continue;
        const job = fold(record.events);
        learning.add(lessonOf(job, record.events, await bookOf(job.rulebook)));
      } catch (error) {
        if (!(error instanceof Tampered)) throw error;
        console.error(error.message);
        process.exitCode = 1;
      }
    }
    const learned = learning.learned((id) => today.followUps.get(id));
    console.log(json ? JSON.stringify(learned, null, 2) : text(learned, jobs.length).join('\n'));
  });
}

/** Rulebooks as the record keeps them, each read once. */
function booksOf(log: SqlLog, today: Rulebook): (version: string) => Promise<Rulebook | undefined> {
  const books = new Map<string, Rulebook | undefined>([[today.version, today]]);
  return async (version) => {
    if (books.has(version)) return books.get(version);
    const line = await log.carriedRulebook(version);
    const files = line === undefined ? {} : (JSON.parse(line) as { files: Record<string, string> }).files;
    const { rulebook, faults } = loadRulebook(new Map(Object.entries(files)));
    books.set(version, faults.length === 0 && rulebook.version === version ? rulebook : undefined);
    return books.get(version);
  };
}

function text({ rules, noise, missing, uncounted, counted }: Learned, jobs: number): string[] {
  return [
    `${jobs} jobs on record, ${counted} of them finished and counted.`,
    ...part(
      'passed over so often that the rule may be noise',
      noise.flatMap(({ title, safety, because }) =>
        wrap(`${title}${safety ? ' (SAFETY: find out why before the rule is touched)' : ''}: ${because}.`, '  '),
      ),
    ),
    ...part('noted by the floor', [
      ...rules.flatMap(({ title, notes }) =>
        notes.flatMap(({ ro, was, note }) => wrap(`${title}: ${was}${note ? `, "${note}"` : ''} (${ro})`, '  ')),
      ),
      ...missing.flatMap(({ ro, note }) => wrap(`no rule: missing, "${note ?? ''}" (${ro})`, '  ')),
    ]),
    ...part(
      'brought cars back',
      rules
        .filter(({ cameBack }) => cameBack > 0)
        .flatMap(({ title, cameBack }) => wrap(`${title}: ${cameBack}`, '  ')),
    ),
    ...part('every rule that was called for', rules.filter(({ asked }) => asked > 0).flatMap(ruleText)),
    ...part(
      'not counted',
      uncounted.flatMap(({ ro, because }) => wrap(`${ro}: ${because}`, '  ')),
    ),
  ];
}

function part(title: string, lines: readonly string[]): string[] {
  return lines.length > 0 ? ['', heading(title), ...lines] : [];
}

function ruleText({ title, asked, done, skipped, overridden, why, triggers }: RuleCount): string[] {
  const reasons = passedOverText(why);
  return [
    ...wrap(
      `${title}: on ${asked}, done ${done}, not done ${skipped}, taken out ${overridden}${reasons ? ` (${reasons})` : ''}`,
      '  ',
    ),
    ...(triggers.length > 1 || triggers.some(({ noise }) => noise)
      ? triggers.flatMap((one) =>
          wrap(
            `${one.noise ? 'NOISE? ' : ''}${one.because || 'asked for by another step, or taken off by a corrected answer'}: on ${one.asked}, done ${one.done}`,
            '    ',
          ),
        )
      : []),
  ];
}
