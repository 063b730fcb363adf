import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { checklist } from '../../src/checklist.ts';
import { type Facts, readFacts } from '../../src/resolve/facts.ts';
import { order } from '../../src/resolve/order.ts';
import { resolve } from '../../src/resolve/resolve.ts';
import { printFault } from '../../src/rulebook/fault.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import { rulebook as ownRulebook } from '../real-rulebook.ts';
import { type Generated, HUNDREDS, jobOf, rulebookOf, type Size, THOUSANDS } from './rulebooks.ts';
import type { Row } from './run.ts';

export const name = 'resolve';

const JOBS = 25;
const ROUNDS = 40;
const MOST = { milliseconds: 1, tenTimes: 1.5, checklist: 50 };

type Json = Record<string, unknown>;

/** Plans the same kind of job three ways, turn about, so that whatever else the machine does meets them alike. */
export function run(): Row[] {
  const [small, large] = [rulebookOf(HUNDREDS, 1), rulebookOf(THOUSANDS, 1)];
  const jobs = Array.from({ length: JOBS }, (_, i) => ({
    small: factsFor(small, HUNDREDS, i),
    large: factsFor(large, THOUSANDS, i),
  }));
  const took = { small: [] as number[], large: [] as number[], naive: [] as number[] };
  const plan = (facts: Facts, { rulebook }: Generated) => order(resolve(facts, rulebook));
  let sink = 0;
  for (let round = 0; round < ROUNDS; round++) {
    for (const job of jobs) {
      const times = [
        time(() => (sink += plan(job.small, small).nodes.length)),
        time(() => (sink += plan(job.large, large).nodes.length)),
        time(() => (sink += naive(job.small, small))),
      ] as const;
      if (round < 5) continue;
      took.small.push(times[0]);
      took.large.push(times[1]);
      took.naive.push(times[2]);
    }
  }
  if (sink === 0) throw new Error('no job asked for anything');
  const steps = (facts: Facts, from: Generated) => plan(facts, from).nodes.length;
  const mean = (list: readonly number[]) => list.reduce((sum, n) => sum + n, 0) / list.length;
  const rows = [
    row('300 follow-ups, 1,000 triggers', took.small, mean(jobs.map((j) => steps(j.small, small)))),
    row('3,000 follow-ups, 10,000 triggers', took.large, mean(jobs.map((j) => steps(j.large, large)))),
    row('300, verdicts alone, by trying every car', took.naive, 0),
    ...ownRules(),
  ];
  const [one, ten, list] = [median(took.small), median(took.large), rows.at(-1)?.['median ms'] as number];
  hold('resolve and precedence, ms', one, MOST.milliseconds, rows);
  hold('ten times the rules, times as long', ten / one, MOST.tenTimes, rows);
  hold('a checklist, ms', list, MOST.checklist, rows);
  return rows;
}

function hold(what: string, took: number, most: number, rows: readonly Row[]): void {
  if (took >= most)
    throw new Error(
      `${what}: ${took.toFixed(2)}, under ${most} asked\n${rows.map((row) => JSON.stringify(row)).join('\n')}`,
    );
}

function factsFor({ rulebook }: Generated, size: Size, seed: number): Facts {
  return read(jobOf(size, seed), rulebook);
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
    const triggers = (rule.triggers as Json[]).filter((t) =>
      (t.work as Json[]).some((m) => facts.work.some((line) => line.part === m.part)),
    );
    if (triggers.length > 0 && everyCar(facts, rulebook, rule, triggers)) called++;
  }
  return called;
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
