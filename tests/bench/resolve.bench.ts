import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { checklist } from '../../src/checklist.ts';
import { type Facts, readFacts } from '../../src/resolve/facts.ts';
import { judge } from '../../src/resolve/judge.ts';
import { Known } from '../../src/resolve/known.ts';
import { order } from '../../src/resolve/order.ts';
import { resolve } from '../../src/resolve/resolve.ts';
import { closeWork, type Hit, hitsOf } from '../../src/resolve/work.ts';
import { printFault } from '../../src/rulebook/fault.ts';
import type { FollowUp, Rulebook } from '../../src/rulebook/rulebook.ts';
import { rulebook as ownRulebook } from '../real-rulebook.ts';
import { type Generated, HUNDREDS, jobOf, rulebookOf, THOUSANDS } from './rulebooks.ts';
import type { Row } from './run.ts';

export const name = 'resolve';

const JOBS = 25;
const ROUNDS = 30;
const WARMING = 5;
const MOST = { milliseconds: 1, tenTimes: 1.5, ofTrying: 1, checklist: 50 };

type Json = Record<string, unknown>;

/** A machine busy with other things gets so many tries at the budgets. */
const TRIES = 3;

/** Plans the same kind of job in several ways, turn about, so that whatever else the machine does meets them alike. */
export function run(): Row[] {
  const [small, large] = [rulebookOf(HUNDREDS, 1), rulebookOf(THOUSANDS, 1)];
  const numbers = Array.from({ length: JOBS }, (_, i) => i);
  const known = numbers.map((i) => read(jobOf(HUNDREDS, i), small.rulebook));
  const unknown = numbers.map((i) => read(jobOf(HUNDREDS, i, 0), small.rulebook));
  const among = numbers.map((i) => read(jobOf(THOUSANDS, i), large.rulebook));
  const plan = (rulebook: Rulebook) => (facts: Facts) => order(resolve(facts, rulebook)).nodes.length;
  const ways: Way[] = [
    { what: '300 follow-ups, 1,000 triggers', jobs: known, work: plan(small.rulebook) },
    { what: '3,000 follow-ups, 10,000 triggers', jobs: among, work: plan(large.rulebook) },
    { what: '300, car unknown', jobs: unknown, work: plan(small.rulebook) },
    { what: '300, verdicts from work alone', jobs: known, work: called(small) },
    { what: 'the same by trying every car', jobs: known, work: (facts) => naive(facts, small) },
    { what: '300, verdicts from work alone, car unknown', jobs: unknown, work: called(small) },
    { what: 'the same by trying every car ', jobs: unknown, work: (facts) => naive(facts, small) },
  ];
  for (const facts of [...known, ...unknown])
    if (called(small)(facts) !== naive(facts, small)) throw new Error('trying every car gives other verdicts');
  for (let left = TRIES - 1; ; left--) {
    const rows = [...turnAbout(ways), ...ownRules()];
    const missed = over(rows.map((row) => row['median ms'] as number));
    if (missed.length === 0) return rows;
    if (left === 0) throw new Error([...missed, ...rows.map((row) => JSON.stringify(row))].join('\n'));
  }
}

interface Way {
  readonly what: string;
  readonly jobs: readonly Facts[];
  /** Gives how many follow-ups are on the list. */
  readonly work: (facts: Facts) => number;
}

function turnAbout(ways: readonly Way[]): Row[] {
  const took = ways.map(() => [] as number[]);
  for (let round = 0; round < ROUNDS; round++) {
    for (let job = 0; job < JOBS; job++) {
      ways.forEach(({ jobs, work }, i) => {
        const one = time(() => work(jobs[job] as Facts));
        if (round >= WARMING) took[i]?.push(one);
      });
    }
  }
  return ways.map(({ what, jobs, work }, i) => {
    const listed = jobs.reduce((sum, facts) => sum + work(facts), 0) / jobs.length;
    if (listed === 0) throw new Error(`${what}: no job asked for anything`);
    return row(what, took[i] as number[], listed);
  });
}

/** Verdicts of what the order's lines call for, without pulls, reasons and order: as much as the naive way gives. */
function called({ rulebook }: Generated): (facts: Facts) => number {
  return (facts) => {
    const known = new Known(facts.car, rulebook.domains);
    const hits = new Map<FollowUp, Hit[]>();
    for (const line of closeWork(facts, rulebook, known).filter((l) => l.origin.kind === 'order'))
      for (const hit of hitsOf(line, rulebook))
        hits.set(hit.call.followUp, [...(hits.get(hit.call.followUp) ?? []), hit]);
    return [...hits].filter(([followUp, all]) => judge(followUp, all, known).kind !== 'excluded').length;
  };
}

function over([
  one = NaN,
  ten = NaN,
  ,
  known = NaN,
  knownTried = NaN,
  unknown = NaN,
  unknownTried = NaN,
  ,
  list = NaN,
]: readonly number[]): string[] {
  const budgets = [
    { what: 'resolve and precedence, ms', took: one, most: MOST.milliseconds },
    { what: 'ten times the rules, times as long', took: ten / one, most: MOST.tenTimes },
    { what: 'verdicts, as a share of trying every car', took: known / knownTried, most: MOST.ofTrying },
    { what: 'the same, car unknown', took: unknown / unknownTried, most: MOST.ofTrying },
    { what: 'a checklist, ms', took: list, most: MOST.checklist },
  ];
  return budgets
    .filter(({ took, most }) => !(took < most))
    .map(({ what, took, most }) => `${what}: ${took.toFixed(2)}, under ${most} asked`);
}

function read(job: Json, rulebook: Rulebook): Facts {
  const { facts, faults } = readFacts(job, rulebook);
  if (!facts) throw new Error(faults.map(printFault).join('\n'));
  return facts;
}

/** The project's own rules, and the whole list with its questions. */
function ownRules(): Row[] {
  const parts = [
    'windscreen',
    'tie-rod-end',
    'battery-12v',
    'throttle-body',
    'front-bumper',
    'clockspring',
    'engine-module',
    'injector',
    'wheel',
    'front-radar',
  ];
  const work = parts.filter((part) => ownRulebook.parts.has(part)).map((part) => ({ part, did: 'replaced' }));
  const facts = read({ ro: '1', vehicle: { maker: 'Honda', modelYear: 2018, market: 'US' }, work }, ownRulebook);
  const plans = Array.from({ length: 60 }, () => time(() => order(resolve(facts, ownRulebook)))).slice(10);
  const lists = Array.from({ length: 25 }, () => time(() => checklist(facts, ownRulebook))).slice(5);
  const list = checklist(facts, ownRulebook);
  const label = `own rules, ${work.length} lines`;
  return [
    row(label, plans, list.steps.length + list.undecided.length),
    row(
      `${label}, whole list with ${list.questions.length} questions`,
      lists,
      list.steps.length + list.undecided.length,
    ),
  ];
}

function row(what: string, times: readonly number[], steps: number): Row {
  const sorted = [...times].sort((a, b) => a - b);
  return {
    what,
    'median ms': median(times),
    'p95 ms': sorted[Math.floor(sorted.length * 0.95)] as number,
    steps: Math.round(steps),
  };
}

function time(work: () => unknown): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

function median(times: readonly number[]): number {
  return [...times].sort((a, b) => a - b)[Math.floor(times.length / 2)] as number;
}

/** Filters all triggers by part, then asks json-logic-js on every completion of what is unknown. Gives how many are not excluded. */
function naive(facts: Facts, { rules, rulebook }: Generated): number {
  let called = 0;
  for (const rule of Object.values(rules)) {
    const triggers = (rule.triggers as Json[]).filter(
      (t) => onMaker(t, facts) && (t.work as Json[]).some((m) => facts.work.some((line) => line.part === m.part)),
    );
    if (triggers.length > 0 && everyCar(facts, rulebook, rule, triggers)) called++;
  }
  return called;
}

function onMaker({ scope }: Json, { car }: Facts): boolean {
  return !scope || (scope as { makers: unknown[] }).makers.includes(car.get('maker')?.values?.[0]);
}

function everyCar(facts: Facts, rulebook: Rulebook, rule: Json, triggers: readonly Json[]): boolean {
  const texts = [rule.fits, ...triggers.map((t) => t.if)].filter((text) => text !== undefined);
  const names = [...new Set(JSON.stringify(texts).match(/(?<="var":")[^"]+/g) ?? [])];
  const choices = names.map(
    (trait) => facts.car.get(trait)?.values ?? Object.keys(rulebook.traits.get(trait)?.values ?? {}),
  );
  const size = choices.reduce((product, list) => product * list.length, 1);
  let possible = false;
  for (let at = 0; at < size; at++) {
    let rest = at;
    const car = Object.fromEntries(
      names.map((trait, i) => {
        const list = choices[i] as readonly unknown[];
        const value = list[rest % list.length];
        rest = Math.floor(rest / list.length);
        return [trait, value];
      }),
    );
    const holds = (text: unknown) => text === undefined || jsonLogic.truthy(jsonLogic.apply(text as RulesLogic, car));
    possible = (holds(rule.fits) && triggers.some((t) => holds(t.if))) || possible;
  }
  return possible;
}
