import { describe, expect, test } from 'vitest';
import { type Checklist, checklist } from '../src/checklist.ts';
import type { Facts } from '../src/resolve/facts.ts';
import { order } from '../src/resolve/order.ts';
import { answerWith, choicesOf } from '../src/resolve/questions.ts';
import { type Resolution, resolve } from '../src/resolve/resolve.ts';
import { mustRead, numbers, randomJob, rulebook } from './real-rulebook.ts';

/** Fewer while writing, more for a hunt: RUNS=1000 npx vitest run tests/questions.property.test.ts */
const RUNS = Number(process.env.RUNS ?? 60);
const LONG = Math.max(120_000, RUNS * 4000);
/** More answers than any job has questions. */
const MANY = 80;
/** Cars tried before a question counts as one that changes nothing. */
const CARS = 40;

type Next = () => number;
const pick = <T>(list: readonly T[], next: Next): T => list[Math.floor(next() * list.length)] as T;
const open = (list: Checklist) => list.questions.filter((q) => q.answered === undefined);

/** A random job on a car of which anything between nothing and most is known. */
function sparseJob(next: Next) {
  const job = randomJob(next);
  const share = next();
  const traits = Object.fromEntries(Object.entries(job.vehicle.traits).filter(() => next() < share));
  return { ...job, vehicle: { ...job.vehicle, traits } };
}

describe('on random jobs', () => {
  test(
    'a question is asked only where two of its answers come to something else',
    () => {
      const next = numbers(1);
      const idle: string[] = [];
      let asked = 0;
      for (let i = 0; i < RUNS; i++) {
        const job = sparseJob(next);
        const facts = mustRead(job);
        for (const { id } of open(checklist(facts, rulebook))) {
          asked++;
          if (!changesSomething(facts, id, next)) idle.push(`${id} on ${JSON.stringify(job)}`);
        }
      }
      expect(idle).toEqual([]);
      expect(asked).toBeGreaterThan(RUNS * 3);
    },
    LONG,
  );

  test(
    'a list has each question once, and what a step asks in its entry is not among them',
    () => {
      const next = numbers(2);
      let confirmed = 0;
      for (let i = 0; i < RUNS * 4; i++) {
        const list = checklist(mustRead(sparseJob(next)), rulebook);
        const ids = list.questions.map((q) => q.id);
        expect(ids).toEqual([...new Set(ids)]);
        expect(open(list).filter((q) => q.kind === 'holds')).toEqual([]);
        confirmed += list.steps.flatMap((s) => s.confirms).length;
      }
      expect(confirmed).toBeGreaterThan(0);
    },
    LONG,
  );

  test(
    'answering the first question again and again ends, with nothing undecided, and every answer stays listed',
    () => {
      const next = numbers(3);
      for (let i = 0; i < RUNS; i++) {
        const job = sparseJob(next);
        const { list } = answerAll(mustRead(job), (choices) => pick(choices, next));
        expect([list.undecided.map((u) => u.followUp), JSON.stringify(job)]).toEqual([[], JSON.stringify(job)]);
      }
    },
    LONG,
  );

  test(
    'it ends as well where some answers are "looked, can not tell"',
    () => {
      const next = numbers(4);
      let untold = 0;
      for (let i = 0; i < RUNS; i++) {
        const { facts } = answerAll(mustRead(sparseJob(next)), (choices) =>
          next() < 0.4 ? null : pick(choices, next),
        );
        untold += [...facts.car.values()].filter((answer) => answer.values === undefined).length;
      }
      expect(untold).toBeGreaterThan(RUNS / 3);
    },
    LONG,
  );
});

/** Answers the first open question till none is left. */
function answerAll(
  start: Facts,
  answer: (choices: readonly string[]) => string | null,
): { facts: Facts; list: Checklist } {
  const given = new Set<string>();
  let facts = start;
  let list = checklist(facts, rulebook);
  for (let first = open(list)[0]; first; first = open(list)[0]) {
    const { id } = first;
    expect(given.has(id), `${id} asked twice`).toBe(false);
    given.add(id);
    expect(given.size).toBeLessThan(MANY);
    const value = answer(choicesOf(resolve(facts, rulebook), id));
    facts = value === null ? cannotTell(facts, id) : answerWith(facts, rulebook, id, value);
    list = checklist(facts, rulebook);
    const listed = list.questions.filter((q) => given.has(q.id));
    expect(listed.map((q) => q.id).sort()).toEqual([...given].sort());
    expect(listed.find((q) => q.id === id)?.answered).toBe(value ?? 'cannot-tell');
  }
  return { facts, list };
}

function cannotTell(facts: Facts, id: string): Facts {
  if (id.includes(':')) return { ...facts, answers: new Map([...facts.answers, [id, null]]) };
  return { ...facts, car: new Map([...facts.car, [id, { by: 'looked' }]]) };
}

/**
 * Two answers differ as things stand, or on some car where more of what is asked has been answered. Of the answers to
 * other questions, one after which this one is still asked is the nearer to such a car.
 */
function changesSomething(facts: Facts, id: string, next: Next): boolean {
  if (differ(facts, id)) return true;
  for (let car = 0; car < CARS; car++) {
    let known: Facts | undefined = facts;
    while (known) {
      known = oneMore(known, id, next);
      if (known && differ(known, id)) return true;
    }
  }
  return false;
}

/** One more answer to another question after which this one is still asked; undefined where there is none. */
function oneMore(facts: Facts, id: string, next: Next): Facts | undefined {
  const others = open(checklist(facts, rulebook)).filter((q) => q.id !== id);
  if (others.length === 0) return undefined;
  const other = pick(others, next).id;
  const choices = [...choicesOf(resolve(facts, rulebook), other)];
  while (choices.length > 0) {
    const [value] = choices.splice(Math.floor(next() * choices.length), 1) as [string];
    const more = answerWith(facts, rulebook, other, value);
    if (open(checklist(more, rulebook)).some((q) => q.id === id)) return more;
  }
  return undefined;
}

function differ(facts: Facts, id: string): boolean {
  const choices = choicesOf(resolve(facts, rulebook), id);
  return new Set(choices.map((value) => outcome(resolve(answerWith(facts, rulebook, id, value), rulebook)))).size > 1;
}

/** What shows on the list: verdicts with level, way and whether it was done, and the order. */
function outcome(resolution: Resolution): string {
  const shown = [...resolution.verdicts.values()].filter((v) => v.kind !== 'excluded');
  const { edges, waiting, blocks } = order(resolution);
  return JSON.stringify([
    shown.map((v) => [
      v.followUp.id,
      v.kind,
      v.level,
      v.asked,
      resolution.ways.get(v.followUp.id)?.open.map((w) => w.id),
    ]),
    waiting.size > 0 || blocks.length > 0
      ? [edges.map((e) => [e.before, e.after]), [...waiting], blocks.map((b) => b.nodes)]
      : [],
  ]);
}
