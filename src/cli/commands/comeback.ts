import { type Command, InvalidArgumentError } from 'commander';
import { type Cause, comeback, type Comeback } from '../../job/comeback/comeback.ts';
import type { CauseKind, Evidence } from '../../job/comeback/standing.ts';
import type { Test } from '../../job/comeback/tell-apart.ts';
import { daysText } from '../../job/comeback/timing.ts';
import { Code } from '../../job/values.ts';
import { jobOrRecord, vinOf } from '../job-or-record.ts';
import { readText, refuse } from '../input.ts';
import { heading, minutesText, wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

const MOST_WORDS = 5000;
const MOST_DAYS = 3650;

interface Options {
  readonly says?: string;
  readonly code: string[];
  readonly report?: string;
  readonly days?: number;
  readonly json?: boolean;
  readonly rules: string;
}

export function comebackCommand(program: Command): void {
  program
    .command('comeback')
    .summary('what may have been missed on a car that came back')
    .description(
      'Ranks what may have brought a car back, against the job as it was written up or its exported record: follow-ups never done, not taken, done out of order or undone later, or something else; and the cheapest test that tells them apart.',
    )
    .argument('<FILE>', 'job file, or one job as written by export; - reads standard input')
    .option('--says <WORDS>', "the complaint in the customer's or the technician's words")
    .option('--code <CODE...>', 'trouble codes read now', [])
    .option('--report <FILE>', 'report of a tool, out of which codes are read')
    .option('--days <N>', 'days since hand-over', days)
    .option('--json', 'the answer as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 causes found, 1 none of these: diagnose afresh, 2 unusable input.')
    .action(run);
}

async function run(file: string, options: Options): Promise<void> {
  const says = options.says?.trim() ?? '';
  if (says.length > MOST_WORDS) refuse('--says', `is too long: ${says.length} characters, ${MOST_WORDS} at most`);
  const typed = options.code.map(codeTyped);
  if (says === '' && typed.length === 0 && options.report === undefined)
    refuse('comeback', 'wants a complaint or a code', '--says WORDS, --code CODE or --report FILE');
  const today = await rulebookIn(options.rules);
  if (!today.complaints) refuse(options.rules, 'has no complaints.json', 'complaints can not be read without it');
  const against = await jobOrRecord(file, today);
  const rulebook = against.rulebook ?? today;
  const read = options.report === undefined ? [] : await codesIn(options.report, vinOf(against));
  const codes = [...new Set([...typed, ...read])];
  const back = { says, codes, ...(options.days === undefined ? {} : { days: options.days }) };
  const told = comeback(back, against, rulebook);
  console.log(options.json ? JSON.stringify(told, null, 2) : text(told, back).join('\n'));
  if (told.afresh.advised) process.exitCode = 1;
}

function days(value: string): number {
  const number = Number(value);
  if (!/^\d+$/.test(value) || number > MOST_DAYS)
    throw new InvalidArgumentError(`wants whole days, 0 to ${MOST_DAYS}.`);
  return number;
}

function codeTyped(value: string): string {
  const read = Code.safeParse(value);
  if (!read.success) refuse('--code', `\`${value}\` ${read.error.issues[0]?.message ?? 'is no trouble code'}`);
  return read.data;
}

async function codesIn(path: string, vin: string | undefined): Promise<string[]> {
  const { findCodes } = await import('../../scan/find-codes.ts');
  const { codes, vins } = findCodes(await readText(path), new Set());
  if (vin !== undefined && vins.length > 0 && !vins.includes(vin))
    refuse(path, `is a report of another car: VIN ${vins[0]}`, `the job is of VIN ${vin}`);
  return codes.map(({ code }) => code);
}

const KINDS: Record<CauseKind, string> = {
  'never-done': 'never done',
  'did-not-take': 'did not take',
  'closing-missed': 'done, its closing missed',
  'out-of-order': 'done out of order',
  'undone-later': 'undone later',
  'trait-wrong': 'the car was answered wrong',
  expected: 'to be expected, goes by itself',
  elsewhere: 'no missed follow-up',
};

function text(
  { causes, sure, first, afresh, heard }: Comeback,
  back: { says: string; codes: string[]; days?: number },
): string[] {
  const said = [
    ...(back.says ? wrap(`"${back.says}"`) : []),
    ...(back.codes.length > 0 ? wrap(`codes now: ${back.codes.join(', ')}`) : []),
    ...(back.days === undefined ? [] : [`${daysText(back.days)} after hand-over`]),
    ...(heard.unknown.length > 0 ? wrap(`not understood: ${heard.unknown.join(', ')}`) : []),
  ];
  return [
    heading('it came back'),
    ...said,
    heading(afresh.advised ? 'none of these stands out' : sure ? 'most likely' : 'likeliest first'),
    ...causes.flatMap(causeText),
    ...(first
      ? [
          heading('first test'),
          ...testText(first.test),
          ...wrap(`it tells of: ${names(first.confirms, causes)}`, '   '),
        ]
      : []),
    heading('none of these: diagnose afresh'),
    ...wrap(
      `${afresh.advised ? 'advised' : 'not yet'}: ${percent(afresh.chance)}, from ${percent(afresh.threshold)} on; ${afresh.because}`,
    ),
  ];
}

function causeText(cause: Cause, i: number): string[] {
  return [
    ...wrap(`${cause.title}: ${KINDS[cause.kind]}, ${percent(cause.chance)}`, `${i + 1}. `),
    ...cause.because.flatMap((line) => wrap(line, '   + ')),
    ...cause.against.flatMap((line) => wrap(line, '   - ')),
    ...cause.evidence.flatMap((line) => wrap(evidenceText(line), '   = ')),
  ];
}

function evidenceText({ text: says, by, at, event }: Evidence): string {
  return event === undefined ? says : `${says} (${by}, ${at}, event ${event})`;
}

function testText({ label, tells, minutes, kind }: Test): string[] {
  return wrap(`${label}; ${tells} (${kind}, ${minutesText(minutes)})`, '   ');
}

function names(ids: readonly string[], causes: readonly Cause[]): string {
  return causes
    .filter(({ id }) => ids.includes(id))
    .map(({ title }) => title)
    .join(', ');
}

function percent(chance: number): string {
  return chance < 0.01 ? 'under 1%' : `${Math.round(chance * 100)}%`;
}
