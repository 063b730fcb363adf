import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { decide } from '../src/job/decide.ts';
import { fold } from '../src/job/evolve.ts';
import { sayingsBetween, sayingsOf, type Sheet, sheetAfter, sheetOf } from '../src/job/rewrite.ts';
import type { Saying } from '../src/job/commands.ts';
import { type Job, UNOPENED } from '../src/job/state.ts';
import type { JobFile } from '../src/resolve/facts.ts';
import { numbers, randomJob, rulebook } from './real-rulebook.ts';

const CODES = ['P0300', 'C1513', 'U0100', 'B1342-54'];

/** A sheet as somebody may have written it up; the other one shares some of it. */
function sheet(next: () => number, like?: JobFile): JobFile {
  const { work, vehicle } = randomJob(next) as JobFile;
  const some = <T>(list: readonly T[]): T[] => list.filter(() => next() < 0.6);
  const traits = Object.entries(vehicle?.traits ?? {}).filter(() => next() < 0.2);
  const kept = some(like?.work ?? []).map((line) =>
    line.at === undefined && next() < 0.5 && rulebook.parts.get(line.part)?.text.at
      ? { ...line, at: rulebook.parts.get(line.part)?.text.at?.[0] as string }
      : line,
  );
  const before = some(CODES);
  return {
    ro: '4711',
    vehicle: {
      ...Object.fromEntries(some(Object.entries({ ...vehicle, traits: undefined })).filter(([, v]) => v !== undefined)),
      ...(next() < 0.5 ? { name: 'van' } : {}),
      traits: Object.fromEntries([...some(Object.entries(like?.vehicle?.traits ?? {})), ...traits]),
    },
    work: [...kept, ...work],
    ...(before.length > 0 ? { codes: { before } } : {}),
    'work-done': next() < 0.3,
    ...(next() < 0.5 ? { promised: next() < 0.5 ? '2026-03-02T15:30:00Z' : '2026-03-03T09:00:00Z' } : {}),
    ...(next() < 0.5 ? { parked: next() < 0.5 ? 'bay 2' : 'yard' } : {}),
  };
}

/** The record after these were said; throws where it does not take one. */
function said(sayings: readonly Saying[], from: Job = UNOPENED): Job {
  return sayings.reduce((job, saying, i) => {
    const command = { ...saying, id: `s${job.seq}-${i}`, at: '2026-03-02T08:00:00Z', by: 'Ana' };
    const answer = decide(command as never, job, { rulebook: () => rulebook });
    if ('refused' in answer) throw new Error(`${JSON.stringify(saying)}: ${answer.refused.join(' ')}`);
    return fold(answer.events, job);
  }, from);
}

/** What planning reads of it: a place that was answered counts like one that was written; the order of lines does not. */
function meant({ file }: Sheet): object {
  const { answers = {}, work, vehicle, ...rest } = file;
  const placed = work.map((line, i) => (answers[`at:${i}`] ? { ...line, at: answers[`at:${i}`] } : line));
  const traits = Object.entries(vehicle?.traits ?? {}).sort(([a], [b]) => (a < b ? -1 : 1));
  return { ...rest, work: placed.map((l) => JSON.stringify(l)).sort(), vehicle: { ...vehicle, traits } };
}

describe('a sheet that is turned into another', () => {
  test('what is said of it makes the record say the same', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const next = numbers(seed);
        const one = sheet(next);
        const other = sheet(next, one);
        const opened = said(sayingsOf(one, { rulebook: rulebook.version, units: 'metric' }));
        expect(meant(sheetOf(opened, rulebook))).toEqual(meant({ file: one, lines: [] }));
        const turned = said(sayingsBetween(sheetOf(opened, rulebook), other), opened);
        const more = other.work.some((line) => !one.work.includes(line));
        // New work takes "done" away; it is said anew.
        const done = (other['work-done'] ?? false) && !(one['work-done'] && more);
        expect(meant(sheetOf(turned, rulebook))).toEqual(meant({ file: { ...other, 'work-done': done }, lines: [] }));
      }),
      { numRuns: 60 },
    );
  });

  test('what is not changed is not said', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const opened = said(sayingsOf(sheet(numbers(seed)), { rulebook: rulebook.version, units: 'metric' }));
        const { file, lines } = sheetOf(opened, rulebook);
        expect(sayingsBetween({ file, lines }, file)).toEqual([]);
      }),
      { numRuns: 30 },
    );
  });

  test('codes that stay keep the module that told them and its words', () => {
    const told = [
      { code: 'U0100', module: 'brakes', text: 'U0100 stored' },
      { code: 'U0100', module: 'transmission', text: 'U0100 pending' },
      { code: 'P0300', module: 'engine', text: 'P0300 permanent' },
    ];
    const opened = said(sayingsOf({ ro: '4711', work: [] }, { rulebook: rulebook.version, units: 'metric' }));
    const read = said([{ type: 'scanned', when: 'before', codes: told }], opened);
    expect(sheetOf(read, rulebook).file.codes).toEqual({ before: ['U0100', 'P0300'] });
    const turned = (job: Job, before: string[]) => {
      const from = sheetOf(job, rulebook);
      const to = { ...from.file, codes: { before } };
      const after = said(sayingsBetween(from, to), job);
      // What a tablet goes on from before the server has answered is what the record will have.
      expect(sheetAfter(from, to, []).read?.before).toEqual(after.scans.before?.codes);
      return after;
    };
    const [brakes, transmission, engine] = told;
    const more = turned(read, ['U0100', 'P0300', 'C1513']);
    expect(more.scans.before?.codes).toEqual([brakes, transmission, engine, { code: 'C1513' }]);
    const less = turned(more, ['C1513', 'P0300']);
    expect(less.scans.before?.codes).toEqual([{ code: 'C1513' }, engine]);
    // Struck and typed anew, it is what somebody typed.
    expect(turned(less, ['U0100', 'P0300']).scans.before?.codes).toEqual([{ code: 'U0100' }, engine]);
  });
});
