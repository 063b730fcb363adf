import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { JobEvent } from '../src/job/events.ts';
import { fold } from '../src/job/evolve.ts';
import { factsOf, jobFile } from '../src/job/facts.ts';
import { gate, type Refusal } from '../src/job/gate.ts';
import { upcast, type Upcasters } from '../src/job/upcast.ts';
import { anything, type Pick, settling } from './job.moves.ts';
import { whatIsWrong } from './job.oracle.ts';
import { rules } from './job.rulebook.ts';
import { Runner } from './job.run.ts';
import { mustRead, numbers, randomJob, rulebook as realRules } from './real-rulebook.ts';

/** A day of so many random commands, taken or refused. */
function day(seed: number, length: number): { runner: Runner; pick: Pick } {
  const next = numbers(seed);
  const pick: Pick = (below) => Math.floor(next() * below);
  const runner = new Runner([rules]);
  runner.must({ type: 'opened' });
  for (let i = 0; i < length; i++) runner.tell(anything(runner, pick));
  return { runner, pick };
}

const days = fc.record({ seed: fc.integer(), length: fc.integer({ min: 0, max: 60 }) });
const key = (refusal: Refusal) => `${refusal.rule} ${refusal.item}`;

/** Settles what the gate refuses, one thing after another, until nothing is left; each settling is looked at. */
function finish(runner: Runner, pick: Pick): void {
  if (runner.job.status !== 'open') runner.must({ type: 'reopened', because: 'once more' });
  for (let round = 0; round < 400; round++) {
    // Others go on meanwhile, as sensibly as ever.
    if (round < 40 && pick(3) === 0) runner.tell(anything(runner, pick));
    if (runner.job.status !== 'open') return;
    const open = gate(runner.job, runner.rulebook);
    if (open.length === 0) return;
    const start = pick(open.length);
    const turned = [...open.slice(start), ...open.slice(0, start)];
    if (!turned.some((refusal) => settleOne(refusal, runner, pick)))
      throw new Error(`nothing settles any of: ${open.map((r) => r.text).join(' ')}`);
  }
  throw new Error(
    `never done: ${gate(runner.job, runner.rulebook)
      .map((r) => r.text)
      .join(' ')}`,
  );
}

function settleOne(refusal: Refusal, runner: Runner, pick: Pick): boolean {
  expect(refusal.settle.length, refusal.text).toBeGreaterThan(0);
  const ways = refusal.settle.filter((s) => s.type !== 'left-unfinished');
  const start = pick(ways.length);
  for (const way of [...ways.slice(start), ...ways.slice(0, start)]) {
    const commands = settling(way, runner, pick);
    const taken = commands.every((command) => runner.tell(command).every((answer) => typeof answer !== 'string'));
    if (!taken) continue;
    const left = gate(runner.job, runner.rulebook).map(key);
    expect(left, `${refusal.text} after ${JSON.stringify(commands)}`).not.toContain(key(refusal));
    return true;
  }
  return false;
}

/** One event a line. */
function line({ id, at: _at, by, ...event }: JobEvent): string {
  return `${id} ${by} ${JSON.stringify(event)}`;
}

describe('random days', () => {
  test('no job is released with anything open, by the log alone', () => {
    let released = 0;
    fc.assert(
      fc.property(days, ({ seed, length }) => {
        const { runner, pick } = day(seed, length);
        finish(runner, pick);
        // Half of them get disturbed once more, so that what was right a moment ago need not be.
        if (pick(2) === 0) for (let i = 0; i < 3; i++) runner.tell(anything(runner, pick));
        runner.tell({ type: 'released', by: 'Ben' });
        for (const at of runner.events.flatMap((e, i) => (e.type === 'released' ? [i] : []))) {
          released++;
          const log = runner.events.slice(0, at);
          expect(whatIsWrong(log, rules), log.map(line).join('\n')).toEqual([]);
        }
      }),
      { numRuns: 300 },
    );
    expect(released).toBeGreaterThan(150);
  }, 120_000);

  test('a day of chance alone releases nothing that is open either', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const { runner } = day(seed, 120);
        const at = runner.events.findIndex((e) => e.type === 'released');
        if (at >= 0) expect(whatIsWrong(runner.events.slice(0, at), rules)).toEqual([]);
      }),
      { numRuns: 60 },
    );
  }, 60_000);

  test('the state is what its events replay to, also from what was kept as text', () => {
    fc.assert(
      fc.property(days, ({ seed, length }) => {
        const { runner } = day(seed, length);
        const kept = JSON.parse(JSON.stringify(runner.events)) as unknown[];
        expect(fold(kept.flatMap((event) => upcast(event)))).toEqual(runner.job);
      }),
      { numRuns: 100 },
    );
  }, 60_000);

  test('events are told in whatever order, and nothing breaks', () => {
    fc.assert(
      fc.property(days, fc.infiniteStream(fc.nat()), ({ seed, length }, chance) => {
        const { runner } = day(seed, length);
        const shuffled = [...runner.events]
          .map((event) => ({ event, rank: chance.next().value as number }))
          .sort((a, b) => a.rank - b.rank);
        expect(() => fold(shuffled.map((s) => s.event))).not.toThrow();
      }),
      { numRuns: 100 },
    );
  }, 60_000);

  test('sending everything again brings nothing', () => {
    fc.assert(
      fc.property(days, ({ seed, length }) => {
        const { runner } = day(seed, length);
        const before = runner.job;
        for (const { id } of runner.events) runner.tell({ type: 'work-done', id });
        expect(runner.job).toBe(before);
      }),
      { numRuns: 30 },
    );
  }, 60_000);
});

describe('old versions', () => {
  test('an event goes through every version between its own and today', () => {
    const renamed: Upcasters = {
      'sent-back': { 0: ({ why, ...kept }) => [{ ...kept, v: 1, because: why }] as never },
      'work-ended': {
        0: (kept) => [{ ...kept, type: 'work-ended', v: 1 }],
        1: (kept) => [{ ...kept, type: 'work-done', v: 1, flips: [] }],
      },
    };
    const head = { id: 'e1', at: '2026-03-02T08:00:00Z', by: 'Ana' };
    expect(upcast({ ...head, type: 'sent-back', step: 'a', why: 'crooked' }, renamed)).toEqual([
      { ...head, type: 'sent-back', v: 1, step: 'a', because: 'crooked' },
    ]);
    expect(upcast({ ...head, type: 'work-ended' }, renamed)).toEqual([{ ...head, type: 'work-done', v: 1, flips: [] }]);
  });

  test.each([
    [
      { type: 'took', v: 9 },
      'event e1 (took, version 9) is from a newer program than this one: bring this one up to date',
    ],
    [
      { type: 'hoisted', v: 1 },
      'event e1 (hoisted, version 1) is from a newer program than this one: bring this one up to date',
    ],
    [{ type: 'took', v: 0 }, 'event e1 (took, version 0) is of a version that nothing here can read'],
    [
      { type: 'constructor', v: 0 },
      'event e1 (constructor, version 0) is from a newer program than this one: bring this one up to date',
    ],
    [
      { type: 'closed', v: 1 },
      'event e1 (closed, version 1) can not be read: /step: Invalid input: expected string, received undefined',
    ],
  ])('%o', (event, message) => {
    expect(() => upcast({ id: 'e1', at: '2026-03-02T08:00:00Z', by: 'Ana', ...event })).toThrow(message);
  });

  test('a job kept as one file plans the same as its events', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const job = {
          ...randomJob(numbers(seed), realRules),
          codes: { before: ['p0301'] },
          answers: { 'at:0': null, 'holds:alignment-in-spec': 'yes' as const },
        };
        const kept = {
          type: 'job',
          id: 'old',
          at: '2026-03-02T08:00:00Z',
          by: 'desk',
          rulebook: realRules.version,
          job,
        };
        const folded = fold(upcast(kept).map((event) => JobEvent.parse(event)));
        expect(factsOf(folded, realRules), JSON.stringify(jobFile(folded, realRules))).toEqual(
          mustRead(job, realRules),
        );
      }),
      { numRuns: 100 },
    );
  }, 60_000);
});
