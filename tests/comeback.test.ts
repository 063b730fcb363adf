import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { comeback } from '../src/job/comeback/comeback.ts';
import { signsOf } from '../src/job/comeback/signs.ts';
import type { Evidence } from '../src/job/comeback/standing.ts';
import { tellApart } from '../src/job/comeback/tell-apart.ts';
import { stem } from '../src/job/comeback/words.ts';
import { CAUSE_KINDS } from '../src/job/values.ts';
import { answer, cases, judge, rates } from './comeback.cases.ts';
import { rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';
import { mustRead, rulebook } from './real-rulebook.ts';
import './seed.ts';

const withWords = { ...rules, ...(rulebook.complaints ? { complaints: rulebook.complaints } : {}) };

describe('cars that came back', () => {
  const judged = cases.map((one) => judge(one));
  const half = (back: boolean, other: boolean) =>
    rates(judged.filter(({ one }) => one['kept-back'] === back && 'other' in one.cause === other));

  test('are many, each with its source, half of them kept back', () => {
    expect(cases.length).toBeGreaterThanOrEqual(80);
    expect(cases.filter(({ cause }) => 'other' in cause).length).toBeGreaterThanOrEqual(20);
    const back = cases.filter((one) => one['kept-back']).length;
    expect(Math.abs(cases.length - 2 * back)).toBeLessThanOrEqual(2);
    for (const { cause } of cases)
      if ('followUp' in cause) for (const id of cause.followUp) expect(rulebook.followUps.has(id), id).toBe(true);
  });

  test.each([
    ['the half that was tuned on', false],
    ['the half that is kept back', true],
  ])('%s: the first answer is right often enough, and nothing is told for sure that is not so', (_, back) => {
    const missed = half(back, false);
    expect(missed.first).toBeGreaterThanOrEqual(0.85);
    expect(missed.third).toBeGreaterThanOrEqual(0.94);
    expect(missed.each).toBeGreaterThanOrEqual(0.85);
    expect(missed.false).toBe(0);
    const other = half(back, true);
    expect(other.first).toBeGreaterThanOrEqual(0.9);
    expect(other.false).toBe(0);
  });

  test('what a code bears out is told for sure often enough to be of use; words alone never are', () => {
    for (const { one, answer: got } of judged)
      if (got.sure) expect(one.complaint.codes ?? [], one.says).not.toEqual([]);
    expect(rates(judged.filter(({ one }) => 'followUp' in one.cause)).sure).toBeGreaterThanOrEqual(0.1);
  });
});

describe('against the record', () => {
  const Case = z.strictObject({
    says: z.string(),
    given: z.array(z.looseObject({ type: z.string() })),
    back: z.strictObject({ says: z.string(), codes: z.array(z.string()).optional(), days: z.number().optional() }),
    first: z.strictObject({ id: z.string(), kind: z.enum(CAUSE_KINDS) }).optional(),
    evidence: z.array(z.string()).optional(),
    afresh: z.boolean().optional(),
    sure: z.boolean().optional(),
  });
  const folder = new URL('cases/comebacks/records/', import.meta.url);
  const told = readdirSync(folder).flatMap((name) =>
    z.array(Case).parse(JSON.parse(readFileSync(new URL(name, folder), 'utf8'))),
  );

  test.each(told.map((one) => [one.says, one] as const))('%s', (_, one) => {
    const runner = new Runner([withWords]);
    for (const event of one.given) runner.must(event as Told);
    const got = comeback(one.back, { job: runner.job }, withWords);
    if (one.first) expect(got.causes[0]).toMatchObject(one.first);
    const evidence = (got.causes[0]?.evidence ?? []).map(sentence);
    for (const piece of one.evidence ?? [])
      expect(
        evidence.some((text) => text.includes(piece)),
        `${piece} in ${evidence.join(' | ')}`,
      ).toBe(true);
    if (one.afresh !== undefined) expect(got.afresh.advised).toBe(one.afresh);
    if (one.sure !== undefined) expect(got.sure).toBe(one.sure);
  });

  function sentence({ text, event, by }: Evidence): string {
    return event === undefined ? text : `${text} [${event} by ${by}]`;
  }
});

describe('reads words', () => {
  const throttle = { work: [{ part: 'throttle-body', did: 'cleaned' as const }] };
  const first = (words: string) => answer({ complaint: { words, days: 1 }, job: throttle }).causes[0]?.id;

  test.each([
    ['as they are', 'idles high'],
    ['in capitals with odd blanks', '  IDLES   HIGH!!'],
    ['misspelt', 'ideling too high'],
    ['abbreviated', 'eng idles hi rpms stay up at 2000 rpms'],
    ['with what was done before it', 'since you cleaned the throttle body the car idles high'],
    ['with what is in order behind it', 'idles high, but the brakes are fine and the radio is good'],
  ])('%s', (_, words) => {
    expect(['idle-air-learn', 'throttle-closed-learn']).toContain(first(words));
  });

  test('what is said to be in order is no complaint', () => {
    const { heard } = answer({ complaint: { words: 'brakes are fine, idle is high', days: 1 }, job: throttle });
    expect(heard.signs).not.toContain('brake');
    expect(heard.signs).toContain('idle');
  });

  test('what is denied is no complaint', () => {
    const { heard } = answer({ complaint: { words: 'the pedal is not spongy, no leak', days: 1 }, job: throttle });
    expect(heard.signs).toEqual(['pedal']);
  });

  test('words that no rule knows are named', () => {
    const got = answer({ complaint: { words: 'zorblax quuxify', days: 1 }, job: throttle });
    expect(got.heard.unknown).toEqual(['zorblax', 'quuxify']);
    expect(got).toMatchObject({ sure: false, afresh: { advised: true } });
  });

  test.each([
    ['stalls', 'stalling'],
    ['idles', 'idling'],
    ['brakes', 'braking'],
    ['stopped', 'stops'],
    ['batteries', 'battery'],
    ['flashes', 'flashing'],
  ])('%s and %s are one word', (one, other) => {
    expect(stem(one)).toBe(stem(other));
  });
});

describe('holds whatever is said', () => {
  const facts = mustRead({
    ro: '1',
    vehicle: { maker: 'toyota', modelYear: 2012 },
    work: [
      { part: 'battery-12v', did: 'replaced' },
      { part: 'brake-pads', did: 'replaced', at: 'rear' },
      { part: 'wheel-alignment', did: 'adjusted' },
    ],
    'work-done': true,
  });
  const words = cases.flatMap(({ complaint }) => complaint.words.split(' '));
  const speech = fc.oneof(
    fc.string({ maxLength: 200 }),
    fc.string({ unit: 'binary', maxLength: 60 }),
    fc
      .array(fc.constantFrom(...words, '__proto__', 'constructor', 'toString'), { maxLength: 30 })
      .map((w) => w.join(' ')),
  );

  test('chances are shares of one whole, causes are in order, and the same words give the same answer', () => {
    fc.assert(
      fc.property(speech, fc.option(fc.nat(900), { nil: undefined }), (says, days) => {
        const back = { says, ...(days === undefined ? {} : { days }) };
        const got = comeback(back, { facts }, rulebook);
        const chances = got.causes.map(({ chance }) => chance);
        expect(chances).toEqual([...chances].sort((a, b) => b - a));
        const sum = chances.reduce((s, c) => s + c, got.afresh.chance);
        expect(sum).toBeGreaterThan(0);
        expect(sum).toBeLessThanOrEqual(1 + 1e-9);
        if (got.sure) expect(got.afresh.advised).toBe(false);
        if (got.sure) expect(rulebook.followUps.has(got.causes[0]?.id ?? '')).toBe(true);
        expect(comeback(back, { facts }, rulebook)).toEqual(got);
      }),
      { numRuns: 60 },
    );
  });

  test('clauses may come in any order and case', () => {
    fc.assert(
      fc.property(
        fc.shuffledSubarray(['radio is locked', 'auto window dead', 'parking brake will not hold'], { minLength: 3 }),
        fc.boolean(),
        (clauses, large) => {
          const text = clauses.join('. ');
          const got = comeback({ says: large ? text.toUpperCase() : text }, { facts }, rulebook);
          const plain = comeback(
            { says: 'radio is locked. auto window dead. parking brake will not hold' },
            { facts },
            rulebook,
          );
          expect(got.causes.map(({ id }) => id)).toEqual(plain.causes.map(({ id }) => id));
        },
      ),
    );
  });

  test('a long speech is read in time', () => {
    const says = words.join(' ').repeat(40);
    const start = performance.now();
    comeback({ says }, { facts }, rulebook);
    expect(performance.now() - start).toBeLessThan(5000);
  });
});

test('each fact is held against each cause', () => {
  const got = answer({
    complaint: { words: 'idles high', codes: ['P0507', 'P0420'], days: 400 },
    job: { work: [{ part: 'throttle-body', did: 'replaced' }] },
  });
  expect(got.causes[0]).toMatchObject({
    id: 'idle-air-learn',
    bears: { words: 'fits', days: 'against', codes: { P0507: 'fits', P0420: 'nothing' } },
  });
});

test('what has brought cars back before is likelier, and no more than that', () => {
  const facts = mustRead({ ro: '1', work: [{ part: 'throttle-body', did: 'replaced' }], 'work-done': true });
  const chance = (cameBack: number) => {
    const none = { asked: 0, done: 0, skipped: 0, overridden: 0, notes: [] };
    const rule = { ...none, followUp: 'idle-air-learn', title: 'Idle air learn', cameBack };
    const learned = { rules: [rule], noise: [], uncounted: [], counted: 0 };
    const { causes } = comeback({ says: 'idles high' }, { facts }, rulebook, { learned });
    return causes.find(({ id }) => id === 'idle-air-learn')?.chance ?? 0;
  };
  expect(chance(3)).toBeGreaterThan(chance(0));
  expect(chance(3)).toBeLessThan(2 * chance(0));
});

describe('the first test', () => {
  const look = { kind: 'eye' as const, label: 'Look', tells: 'seen', minutes: 2 };
  const read = { kind: 'reading' as const, label: 'Read', tells: 'figure', minutes: 5 };

  test('is the cheapest of those that settle most of the doubt', () => {
    const got = tellApart([
      { id: 'a', chance: 0.5, tests: [read] },
      { id: 'b', chance: 0.1, tests: [look] },
    ]);
    expect(got).toMatchObject({ test: read, confirms: ['a'] });
    const cheap = tellApart([
      { id: 'a', chance: 0.5, tests: [read] },
      { id: 'b', chance: 0.4, tests: [look] },
    ]);
    expect(cheap).toMatchObject({ test: look, confirms: ['b'] });
  });

  test('tells nothing apart where both causes would show it', () => {
    const got = tellApart([
      { id: 'a', chance: 0.5, tests: [look, read] },
      { id: 'b', chance: 0.5, tests: [look] },
    ]);
    expect(got).toMatchObject({ test: read, confirms: ['a'] });
  });
});

test('every part that something else names is a part, every sign has its words alone', () => {
  for (const [id, row] of Object.entries(rulebook.complaints?.elsewhere ?? {})) {
    for (const part of row.parts ?? []) expect(rulebook.parts.has(part), `${id}: ${part}`).toBe(true);
    for (const source of row.sources) expect(rulebook.sources.has(source), `${id}: ${source}`).toBe(true);
  }
  for (const sign of rulebook.complaints?.deniable ?? []) expect(rulebook.complaints?.signs).toHaveProperty([sign]);
  expect(signsOf(rulebook).followUps.size).toBe(rulebook.followUps.size);
  expect(() => signsOf({ ...rules })).toThrow('has no complaints.json');
});
