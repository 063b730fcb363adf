import { type Command, InvalidArgumentError } from 'commander';
import { clearedLately, notReadyYet, type NotReadyYet } from '../../scan/cleared.ts';
import { MONITOR_TITLES } from '../../scan/monitors.ts';
import { incomplete, type Readiness } from '../../scan/readiness.ts';
import { readReadiness } from '../../scan/readiness-read.ts';
import { stationVerdict, type StationVerdict } from '../../scan/station.ts';
import { FUELS, MARKETS, type Market } from '../../vehicle/schema.ts';
import { codeBookIn } from '../codes-file.ts';
import { readText, refuse, Unusable } from '../input.ts';
import { heading, wrap } from '../page.ts';
import { RULES } from '../rules-folder.ts';

const STATION_FUELS = [
  ...FUELS.filter((fuel) => fuel === 'petrol' || fuel === 'diesel' || fuel === 'gas'),
  'hybrid',
] as const;

interface Options {
  readonly place?: Market;
  readonly year?: number;
  readonly fuel?: (typeof STATION_FUELS)[number];
  readonly json?: boolean;
  readonly rules: string;
}

export function readinessCommand(program: Command): void {
  program
    .command('readiness')
    .summary('which emission self-tests are complete, and whether a test station would take the car')
    .description(
      'Reads hex replies to $01 $01 (with or without headers), a table, or lines such as "EVAP: not ready", and judges them by place and model year.',
    )
    .argument('<FILE>', 'replies, table or typed lines; - reads standard input')
    .option('--place <MARKET>', `where the car is tested: ${MARKETS.join(', ')}`, oneOf(MARKETS))
    .option('--year <YEAR>', 'model year', year)
    .option('--fuel <FUEL>', STATION_FUELS.join(', '), oneOf(STATION_FUELS))
    .option('--json', 'the reading and the verdict as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText(
      'after',
      '\nExit code: 0 ready (or no place given), 1 not ready, fails or can not be told, 2 unusable input.',
    )
    .action(run);
}

async function run(path: string, options: Options): Promise<void> {
  const file = path === '-' ? 'standard input' : path;
  const book = await codeBookIn(options.rules);
  const text = await readText(path);
  if (text.trim() === '') refuse(file, 'is empty');
  const reading = readReadiness(text);
  if (reading.modules.length === 0) throw new Unusable(faultsOf(reading, file));
  const { place, year: modelYear = null, fuel } = options;
  const verdict = stationVerdict(reading, { place: place ?? null, modelYear, ...(fuel ? { fuel } : {}) });
  const open = notReadyYet('open', book, { after: reading });
  const lately = clearedLately(reading.counters);
  if (options.json)
    console.log(JSON.stringify({ reading, verdict: place ? verdict : null, clearedLately: lately, open }, null, 2));
  else console.log([...readingText(reading), ...(place ? verdictText(verdict) : []), ...openText(open)].join('\n'));
  if (place && verdict.verdict !== 'ready') process.exitCode = 1;
}

function faultsOf({ faults }: Readiness, file: string): Unusable['faults'] {
  if (faults.length === 0)
    return [
      {
        file,
        pointer: '',
        message: 'tells of no self-test',
        hint: 'wanted: a reply such as 41 01 00 07 E5 00, or lines such as `EVAP: not ready`',
      },
    ];
  return faults.map(({ line, text, message, hint }) => ({
    file,
    pointer: '',
    message: `line ${line} ${message}`,
    value: text,
    ...(hint ? { hint } : {}),
  }));
}

function readingText(reading: Readiness): string[] {
  const { modules, mil, count, monitors, counters, codes, faults } = reading;
  const since = clearedLately(counters);
  return [
    heading('self-tests'),
    `lamp commanded ${mil ? 'ON' : 'off'}, ${count} ${count === 1 ? 'code' : 'codes'}, ${modules.length} ${modules.length === 1 ? 'module' : 'modules'}`,
    ...monitors.map(
      ({ id, complete, continuous }) =>
        `  ${complete ? '[x]' : '[ ]'} ${MONITOR_TITLES[id]}${continuous ? ' (runs all the time)' : ''}`,
    ),
    ...(codes.length > 0
      ? wrap(codes.map(({ code, kept }) => `${code} (${kept.join(', ')})`).join(', '), 'codes: ')
      : []),
    ...(since.lately === null ? [] : wrap(`${since.because}${since.lately ? ': cleared lately' : ''}`)),
    ...faults.flatMap(({ line, message, hint }) =>
      wrap(`line ${line} ${message}${hint ? `; ${hint}` : ''}`, 'not read: '),
    ),
    `${incomplete(reading).length} not complete`,
  ];
}

function verdictText({ verdict, because, source, doubts }: StationVerdict): string[] {
  const WORDS = { ready: 'READY', 'not-ready': 'NOT READY', fails: 'WOULD FAIL', ask: 'ASK YOUR STATION' };
  return [
    heading(`at the station: ${WORDS[verdict]}`),
    ...because.flatMap((text) => wrap(text, '- ')),
    ...(source
      ? wrap(
          `${source.publisher}, ${source.title}, ${source.section} (${source.read === 'secondary' ? 'read in another publication' : `read: ${source.read}`})`,
          'source: ',
        )
      : []),
    ...doubts.flatMap((text) => wrap(text, 'doubt: ')),
  ];
}

function openText({ tests, customer }: NotReadyYet): string[] {
  if (tests.length === 0) return [];
  return [
    heading('what they want'),
    ...tests.flatMap(({ title, wants, basis }) =>
      wrap(`${title}: ${wants}${basis === 'read' ? '' : ` (${basis})`}`, '- '),
    ),
    ...wrap(customer, 'for the customer: '),
  ];
}

function oneOf<T extends string>(words: readonly T[]): (text: string) => T {
  return (text) => {
    const found = words.find((word) => word.toLowerCase() === text.toLowerCase());
    if (!found) throw new InvalidArgumentError(`wanted: ${words.join(', ')}`);
    return found;
  };
}

function year(text: string): number {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 1900 || value > 2100) throw new InvalidArgumentError('wanted: a model year');
  return value;
}
