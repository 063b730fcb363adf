import type { Command } from 'commander';
import { checklist } from '../../checklist.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { Facts } from '../../resolve/facts.ts';
import { compareCodes, type Comparison, type SeenCode, type StepTie } from '../../scan/compare.ts';
import { findCodes, type MaybeCode } from '../../scan/find-codes.ts';
import { moduleTitle } from '../../scan/find-modules.ts';
import { codesInReplies } from '../../scan/reply-codes.ts';
import { codeBookIn } from '../codes-file.ts';
import { readJob, readText, refuse, Unusable } from '../input.ts';
import { heading, wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

interface Options {
  readonly job?: string;
  readonly maker: string[];
  readonly json?: boolean;
  readonly rules: string;
}

export function codesCommand(program: Command): void {
  program
    .command('codes')
    .summary('trouble codes before against after the work')
    .description('Reads trouble codes out of reports of any tool.')
    .command('compare')
    .summary('codes before the work against codes after it')
    .description(
      'Reads two reports, pasted text or hex replies, and tells which codes are gone, still there or new, and what each is tied to.',
    )
    .argument('<BEFORE>', 'report from before the work; - reads standard input')
    .argument('<AFTER>', 'report from after it; - reads standard input')
    .option('--job <FILE>', 'job file: its steps are taken as still open')
    .option('--maker <ID...>', 'whose car it is, for codes that only one maker has', [])
    .option('--json', 'the comparison as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 every code is explained, 1 some are not, 2 unusable input.')
    .action(run);
}

async function run(beforePath: string, afterPath: string, options: Options): Promise<void> {
  if (beforePath === '-' && afterPath === '-') refuse('-', 'standard input can not be both reports');
  const book = await codeBookIn(options.rules);
  const types = new Set(Object.keys(book['failure-types']));
  const before = await report(beforePath, types);
  const after = await report(afterPath, types);
  sameCar(before, after);
  const job = options.job === undefined ? undefined : await openSteps(options.job, options.rules);
  const makers = [...options.maker, ...(job?.makers ?? [])];
  const compared = compareCodes({ before: before.codes, after: after.codes, steps: job?.steps ?? [], book, makers });
  if (options.json)
    console.log(JSON.stringify({ ...compared, maybe: { before: before.maybe, after: after.maybe } }, null, 2));
  else console.log(comparisonText(compared, before, after).join('\n'));
  if (compared.unexplained.length > 0) process.exitCode = 1;
}

interface Report {
  readonly file: string;
  readonly codes: readonly SeenCode[];
  readonly maybe: readonly MaybeCode[];
  readonly moreMaybe: number;
  readonly vins: readonly string[];
}

/** Hex replies where there are any that list codes, else text. */
async function report(path: string, types: ReadonlySet<string>): Promise<Report> {
  const file = path === '-' ? 'standard input' : path;
  const text = await readText(path);
  if (text.trim() === '') refuse(file, 'is empty', 'a report that found no code says so');
  const replies = codesInReplies(text);
  const found = findCodes(text, types);
  const { maybe, moreMaybe, vins } = found;
  if (replies.lists.length > 0) {
    if (replies.faults.length > 0)
      throw new Unusable(
        replies.faults.map((f) => ({
          file,
          pointer: '',
          message: `line ${f.line} ${f.message}`,
          value: f.text,
          ...(f.hint ? { hint: f.hint } : {}),
        })),
      );
    return {
      file,
      codes: replies.codes.map(({ code, kept, module }) => ({ code, kept, modules: module ? [module] : [] })),
      maybe: [],
      moreMaybe: 0,
      vins,
    };
  }
  const codes = found.codes.map(({ code, kept, modules }) => ({
    code,
    kept,
    modules: modules.map((m) => m.id ?? m.text),
  }));
  return { file, codes, maybe, moreMaybe, vins };
}

function sameCar(before: Report, after: Report): void {
  const [was, now] = [before.vins[0], after.vins[0]];
  if (was === undefined || now === undefined || before.vins.some((vin) => after.vins.includes(vin))) return;
  refuse(after.file, `is a report of another car: VIN ${now}`, `${before.file} is of VIN ${was}`);
}

/** The steps that a job calls for, as if none were done yet. */
async function openSteps(path: string, rules: string): Promise<{ steps: StepTie[]; makers: string[] }> {
  const rulebook = await rulebookIn(rules);
  const facts: Facts = await readJob(path, rulebook);
  const steps = checklist(facts, rulebook).steps.map(({ followUp }) => stepTie(followUp, rulebook));
  const maker = facts.car.get('maker')?.values ?? [];
  return { steps, makers: maker.map(String) };
}

function stepTie(id: string, rulebook: Rulebook): StepTie {
  const followUp = rulebook.followUps.get(id);
  const text = followUp?.text;
  const codes = [...(text?.triggers ?? []), ...(text?.skipped ?? [])].flatMap((row) => row.codes ?? []);
  const untilDriven = text?.finish === 'owner' || (text?.ways ?? []).some((way) => way.drive || way.finish === 'owner');
  return { id, title: followUp?.title ?? id, state: 'open', codes: [...new Set(codes)], untilDriven };
}

function comparisonText({ codes, summary }: Comparison, before: Report, after: Report): string[] {
  const rows = codes.flatMap((row) => [
    `${mark(row.change)} ${row.code.padEnd(9)}${row.modules.length > 0 ? ` ${row.modules.map((m) => moduleTitle({ id: m, text: m })).join(', ')}` : ''}${row.unexplained ? '  UNEXPLAINED' : ''}`.trimEnd(),
    ...wrap([row.meaning.says, row.meaning.typeSays].filter(Boolean).join('; ') || 'no meaning on file', '    '),
    ...wrap(row.says, '    '),
  ]);
  return [heading('codes before against after'), ...wrap(summary), ...rows, ...maybeText(before), ...maybeText(after)];
}

function mark(change: Comparison['codes'][number]['change']): string {
  return { gone: '-', stays: '=', new: '+', there: '?' }[change];
}

function maybeText({ file, maybe, moreMaybe }: Report): string[] {
  if (maybe.length === 0) return [];
  return [
    heading(`look again in ${file}`),
    ...maybe.flatMap(({ typed, code, because, line }) => wrap(`line ${line}: \`${typed}\` ${because}; ${code}?`, '  ')),
    ...(moreMaybe > 0 ? [`  and ${moreMaybe} more`] : []),
  ];
}
