import { describe, expect, test } from 'vitest';
import { sightOf } from '../src/job/sight.ts';
import { timersOf } from '../src/job/timers.ts';
import { jobRules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';

/** The rulebook of the record's tests, with two waits more: one of a fixed length, one that is read off and counts from its own start. */
const book = jobRules({
  rest: {
    title: 'Rest without a start',
    kind: 'wait',
    triggers: [{ work: [{ part: 'radio', did: 'replaced' }], level: 'required', because: 'it forgets nothing else' }],
    ways: [{ id: 'rest', minutes: { wait: 30 } }],
  },
  settle: {
    title: 'Settling wait',
    kind: 'wait',
    triggers: [{ work: [{ part: 'radio', did: 'replaced' }], level: 'required', because: 'it must settle' }],
    ways: [{ id: 'wait', minutes: { wait: { ask: 'minutes on the tin', usual: [1, 10], 'counts-from': 'step' } } }],
  },
});

/** Minute by minute from 8:00 on, each saying one: `ends` is HH:MM:SS of that day (UTC). */
interface Case {
  readonly says: string;
  readonly given: readonly Told[];
  readonly timers: readonly string[];
}

const radio = [
  { type: 'opened' },
  { type: 'line-added', line: { part: 'radio', did: 'replaced' } },
  { type: 'work-done' },
];
const glass = [{ type: 'opened' }, { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } }];
const zeroTook = [
  { type: 'opened' },
  { type: 'line-added', line: { part: 'rack', did: 'replaced' } },
  { type: 'work-done' },
  { type: 'answered', question: 'holds:aligned', answer: 'yes' },
  {
    type: 'took',
    step: 'steering-zero',
    values: {
      'entry/Battery voltage': { kind: 'number', value: 12.6 },
      'proof/steering-zero/Angle straight ahead': { kind: 'number', value: 0.4 },
    },
  },
];

const cases: readonly Case[] = [
  { says: 'a wait that nobody started does not run', given: radio, timers: [] },
  {
    says: 'a wait of a fixed length runs from its start',
    given: [...radio, { type: 'started', step: 'rest' }],
    // 08:03 and 30 min
    timers: ['wait rest 08:33:00'],
  },
  {
    says: 'one whose length is not read yet does not run, though it is started',
    given: [...radio, { type: 'started', step: 'settle' }],
    timers: [],
  },
  {
    says: 'once it is read, it runs from its start, not from the reading; the soonest stands first',
    given: [
      ...radio,
      { type: 'started', step: 'rest' },
      { type: 'started', step: 'settle' },
      { type: 'answered', question: 'wait:settle', answer: 5 },
    ],
    // settle: 08:04 and 5 min
    timers: ['wait settle 08:09:00', 'wait rest 08:33:00'],
  },
  {
    says: 'one that counts from the end of the work runs without a start',
    given: [...glass, { type: 'work-done' }, { type: 'answered', question: 'wait:glass-wait', answer: 60 }],
    // 08:02 and 60 min
    timers: ['wait glass-wait 09:02:00'],
  },
  {
    says: 'and not before the work is done',
    given: [...glass, { type: 'answered', question: 'wait:glass-wait', answer: 60 }],
    timers: [],
  },
  {
    says: 'a wait that did not last is over',
    given: [...radio, { type: 'started', step: 'rest' }, { type: 'did-not-take', step: 'rest' }],
    timers: [],
  },
  {
    says: 'a wait that is not done runs no more',
    given: [
      ...glass,
      { type: 'work-done' },
      { type: 'answered', question: 'wait:glass-wait', answer: 60 },
      { type: 'not-done', step: 'glass-wait', reason: 'declined' },
    ],
    timers: [],
  },
  {
    says: 'a wait that is done again runs from its new start',
    given: [
      ...radio,
      { type: 'started', step: 'rest' },
      { type: 'did-not-take', step: 'rest' },
      { type: 'started', step: 'rest' },
    ],
    timers: ['wait rest 08:35:00'],
  },
  {
    says: 'what took is closed after its wait',
    given: zeroTook,
    // 08:04 and 30 s
    timers: ['closing steering-zero 08:04:30'],
  },
  {
    says: 'and runs no more once it is closed',
    given: [...zeroTook, { type: 'closed', step: 'steering-zero' }],
    timers: [],
  },
  {
    says: 'a step that ends with the owner is no timer of the shop',
    given: [
      { type: 'opened' },
      { type: 'line-added', line: { part: 'battery', did: 'replaced' } },
      { type: 'work-done' },
    ],
    timers: [],
  },
];

describe('timers', () => {
  test.each(cases.map((one) => [one.says, one] as const))('%s', (_, { given, timers }) => {
    expect(shown(told(given))).toEqual(timers);
  });

  test('of several jobs stand in one row, each with its RO number', () => {
    const [one, other] = [told([...radio, { type: 'started', step: 'rest' }]), told(zeroTook)];
    const sights = [one, other].map(({ job }, i) => ({ ...sightOf(job, book), job: { ...job, ro: `47${i}` } }));
    const row = timersOf(sights, () => book).map(({ ro, step }) => `${ro} ${step}`);
    expect(row).toEqual(['471 steering-zero', '470 rest']);
  });

  test('are none on a job that is not open any more', () => {
    const runner = told([...radio, { type: 'started', step: 'rest' }]);
    const sight = sightOf(runner.job, book);
    expect(timersOf([{ ...sight, job: { ...runner.job, status: 'released' } }], () => book)).toEqual([]);
  });

  test('begin with what they count from, and of a wait whose rulebook is not at hand nothing is made up', () => {
    const runner = told([...radio, { type: 'started', step: 'rest' }]);
    const [timer] = timersOf([sightOf(runner.job, book)], () => book);
    expect(timer && (timer.ends - timer.begins) / 60_000).toBe(30);
    expect(timersOf([sightOf(runner.job, book)], () => undefined)).toEqual([]);
  });
});

function told(given: readonly Told[]): Runner {
  const runner = new Runner([book]);
  for (const one of given) runner.must(one);
  return runner;
}

function shown({ job }: Runner): string[] {
  return timersOf([sightOf(job, book)], (version) => (version === book.version ? book : undefined)).map(
    ({ kind, step, ends }) => `${kind} ${step} ${new Date(ends).toISOString().slice(11, 19)}`,
  );
}
