import type { Command } from 'commander';
import { near } from '../../rulebook/read.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { MARKETS } from '../../vehicle/schema.ts';
import { readLines } from '../../write-up/read.ts';
import type { Passed, Proposal, Reading, ReadLine, Span } from '../../write-up/reading.ts';
import { readText, refuse, Unusable } from '../input.ts';
import { heading, wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

interface Options {
  readonly market?: string;
  readonly json?: boolean;
  readonly rules: string;
}

export function linesCommand(program: Command): void {
  program
    .command('lines')
    .summary('work lines out of a pasted repair order')
    .description(
      'Reads the lines of a repair order, and proposes the work lines they name: each is for a person to check. What gives none is told with its reason.',
    )
    .argument('<FILE>', 'text, one line of the order a line; - reads standard input')
    .option('--market <ID>', `for which side the driver sits: ${MARKETS.join(', ')}`)
    .option('--json', 'the reading as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 read, 1 no line names any work, 2 unusable input.')
    .action(run);
}

async function run(path: string, { market, json, rules }: Options): Promise<void> {
  if (market !== undefined && !MARKETS.includes(market as never)) {
    const fault = { file: '--market', pointer: '', message: 'unknown market', value: market, ...near(market, MARKETS) };
    throw new Unusable([fault]);
  }
  const file = path === '-' ? 'standard input' : path;
  const text = await readText(path);
  if (text.trim() === '') refuse(file, 'is empty', 'paste the lines of a repair order into it');
  const rulebook = await rulebookIn(rules);
  if (!rulebook.words) refuse(rules, 'has no words.json', 'lines are read by the words in it');
  const reading = readLines(text.replace(/^\uFEFF/, ''), rulebook, market);
  console.log(json ? JSON.stringify(reading, null, 2) : readingText(reading, rulebook).join('\n'));
  if (reading.lines.every(({ proposals }) => proposals.length === 0)) process.exitCode = 1;
}

function readingText({ lines, unread }: Reading, rulebook: Rulebook): string[] {
  const count = lines.reduce((sum, { proposals }) => sum + proposals.length, 0);
  return [
    heading(`${count} work ${count === 1 ? 'line' : 'lines'} proposed, none taken`),
    ...lines.flatMap((line) => lineText(line, rulebook)),
    ...(unread > 0 ? wrap(`${unread} more lines were not read: give them in pieces`, '!    ') : []),
  ];
}

function lineText(line: ReadLine, rulebook: Rulebook): string[] {
  return [
    ...wrap(printable(line.text), `${String(line.number).padStart(4)} `),
    ...line.proposals.flatMap((proposal) => proposalText(proposal, line, rulebook)),
    ...line.passed.flatMap((passed) => passedText(passed, line)),
  ];
}

function proposalText(
  { part, did, at, asks, words, sure, doubts }: Proposal,
  line: ReadLine,
  rulebook: Rulebook,
): string[] {
  const title = (id: string) => rulebook.parts.get(id)?.text.title ?? id;
  const what = [part === null ? '(which part?)' : title(part), did ?? '(what was done?)', at.map(plain).join(' and ')];
  const rests = words.map((span) => `\`${piece(line, span)}\``).join(' ');
  return [
    ...wrap(what.filter(Boolean).join(', '), '   > '),
    ...wrap(`${sure}${doubts.length > 0 ? ` (${doubts.join('; ')})` : ''}, from ${rests}`, '       '),
    ...asks.flatMap(({ about, question, choices }) =>
      wrap(`${question} ${choices.map(about === 'part' ? title : plain).join(', ')}`, '     ? '),
    ),
  ];
}

function passedText({ because, words }: Passed, line: ReadLine): string[] {
  const whole = words.from === 0 && words.to >= line.text.trimEnd().length;
  return wrap(whole ? because : `\`${piece(line, words)}\`: ${because}`, '   - ');
}

function piece({ text }: ReadLine, { from, to }: Span): string {
  const words = printable(text.slice(from, to));
  return words.length > 60 ? `${words.slice(0, 60)}…` : words;
}

function plain(id: string): string {
  return id.replaceAll('-', ' ');
}

/** What a terminal would obey instead of showing is shown as a blank. */
function printable(text: string): string {
  return text.replaceAll(/[\p{Cc}\p{Cf}]/gu, ' ').trim();
}
