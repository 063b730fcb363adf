import { checklist } from '../../src/checklist.ts';
import {
  BASES,
  factIds,
  factTexts,
  figuresByBasis,
  makersSpoken,
  printedTables,
  triggerTries,
  withMakerScope,
  writtenOff,
} from '../coverage.ts';
import { seededJobs } from '../coverage.jobs.ts';
import { mustRead, rulebook } from '../real-rulebook.ts';
import type { Row } from './run.ts';

export const name = 'coverage';

/** How far the rulebook reaches: what it reproduces, how its figures are known, what is tried, how long its lists read. */
export function run(): Row[] {
  return [...facts(), ...figures(), ...triggers(), ...reading()];
}

function row(what: string, count: number, of?: number): Row {
  return { what, count, ...(of === undefined ? {} : { of, share: `${Math.round((100 * count) / of)} %` }) };
}

function facts(): Row[] {
  const ids = factIds();
  const told = new Set(Object.keys(factTexts()).map((name) => name.slice(0, 6)));
  const off = Object.keys(writtenOff());
  const total = ids?.length ?? told.size + off.length;
  const collected = ids ? ids.filter((id) => told.has(id)).length : told.size;
  return [
    row('facts of the trade reproduced by a case', collected, total),
    row('facts found since, each a case', told.size - collected),
    row('facts written off, each with its reason', off.length, total),
    ...(ids
      ? [
          row(
            'facts neither reproduced nor written off',
            ids.filter((id) => !told.has(id) && !off.includes(id)).length,
            total,
          ),
        ]
      : []),
  ];
}

function figures(): Row[] {
  const count = figuresByBasis();
  const total = count.read + count.memory + count['common-practice'] + count.unstated;
  return [
    ...BASES.map((basis) => row(`figures whose best source is: ${basis}`, count[basis], total)),
    row('figures without a stated basis', count.unstated, total),
    row('follow-ups in which some maker speaks', withMakerScope(), rulebook.followUps.size),
    row('makers of whom some rule speaks', makersSpoken(), rulebook.makers.size),
    row('printed tables of makers, held row by row', printedTables().tables),
    row('their rows', printedTables().rows),
  ];
}

function triggers(): Row[] {
  const tries = triggerTries();
  const restable = tries.filter((t) => t.open !== undefined);
  return [
    row('triggers with a passing try on which they speak', tries.filter((t) => t.speaks).length, tries.length),
    row('triggers with a passing try on which they stay out', tries.filter((t) => t.staysOut).length, tries.length),
    row(
      'triggers that can rest on a question, with a passing try on which they do',
      restable.filter((t) => t.open).length,
      restable.length,
    ),
  ];
}

/** Words a minute that people read on paper and screens: M. Brysbaert, How many words do we read per minute?, 2019: 238. */
const WORDS_A_MINUTE = 238;

function reading(): Row[] {
  const minutes = seededJobs()
    .map((job) => wordsOf(job) / WORDS_A_MINUTE)
    .sort((a, b) => a - b);
  const at = (share: number) => Number((minutes[Math.floor(share * (minutes.length - 1))] ?? 0).toFixed(1));
  return [
    { what: 'minutes to read the list, titles and reasons, median of the seeded jobs', count: at(0.5) },
    { what: 'the same, of the ninetieth of a hundred', count: at(0.9) },
  ];
}

/** The list folded: number, title and the first reason of each step, and what is undecided. */
function wordsOf(job: object): number {
  const list = checklist(mustRead(job), rulebook);
  const text = [
    ...list.steps.map((s) => `${s.title} ${s.because[0] ?? ''}`),
    ...list.undecided.map((u) => `${u.title} ${u.decides.join(' ')}`),
  ];
  return text.join(' ').split(/\s+/).length;
}
