import type { Asked } from '../../src/job/asked.ts';
import { unproved } from '../../src/job/proven.ts';
import type { Units } from '../../src/job/readings.ts';
import type { SeenItem } from '../../src/job/sight.ts';
import type { Job } from '../../src/job/state.ts';
import { waitEnds, waitRun } from '../../src/job/timing.ts';
import type { ReadingValue, Values } from '../../src/job/values.ts';
import type { FollowUp } from '../../src/rulebook/rulebook.ts';
import { clock, spanText } from '../sheet/clock.ts';
import { sentence } from '../sheet/time.ts';

/** Where a step stands, as the record would judge it: said before somebody taps, not behind it. */

type Held = ReadonlyMap<string, ReadingValue>;

/** What was written down in this round and counts towards it. */
export function roundValues({ again, stage, record }: SeenItem): Held {
  if (!record || (again && record.took)) return new Map();
  const counts = stage === 'open' || stage === 'running' || stage === 'waiting' || stage === 'took';
  return counts ? record.values : new Map();
}

/** Which round figures belong to: those of an earlier one prove nothing of this one. */
export function roundOf({ record, again }: SeenItem): string {
  return [record?.startedAt?.event ?? '', record?.tries ?? 0, again && record?.took ? record.took.event : ''].join('/');
}

/** Its start is implied: no figure has to be written down for it, or it runs since the work was done. */
export function isPlain(item: SeenItem, followUp: FollowUp, job: Job): boolean {
  const wait = waitRun(item, followUp, job);
  return wait ? wait.fromWork : item.asked.every(({ must }) => !must);
}

/** What keeps the hands off it, in sentences. */
export function bars(item: SeenItem, followUp: FollowUp, job: Job): string[] {
  if (item.was) return ['It had to come before the work, which is done. Say whether it was done.'];
  const early = followUp.phase === 'after' && !job.workDone;
  const late = followUp.phase !== 'after' && job.workDone !== undefined;
  return [
    ...(early ? ['It comes after the work. Say first that the work is done.'] : []),
    ...(late ? ['It had to come before the work, which is done.'] : []),
    ...item.waitsFor.map(({ title, because, never }) =>
      never
        ? `It can not be done: ${title} was not done. ${sentence(because)}`
        : `It waits for ${title}. ${sentence(because)}`,
    ),
  ];
}

/** What is wanting before it may be started: what somebody could be hurt by, and what has to be known by then. */
export function beforeStart(item: SeenItem, held: Held, units: Units): Lack[] {
  return lacks({ ...item, asked: item.asked.filter(({ when }) => when === 'entry') }, held, units);
}

/** What is wanting before it can be said that it took. */
export function beforeTook(item: SeenItem, followUp: FollowUp, job: Job, held: Held, now: number): Lack[] {
  const asks =
    item.safety || item.level === 'required'
      ? item.confirms.map(({ text }) => ({ text: `Answer first: ${text}` }))
      : [];
  return [...asks, ...waits(item, followUp, job, now), ...lacks(item, held, job.units)];
}

export interface Lack {
  readonly text: string;
  readonly asked?: Asked;
}

function lacks(item: SeenItem, held: Held, units: Units): Lack[] {
  return unproved(item, held, units).map(({ asked, text }) => ({
    asked,
    text: sentence(text.replace(`${item.title}: `, '')),
  }));
}

function waits(item: SeenItem, followUp: FollowUp, job: Job, now: number): Lack[] {
  const run = waitRun(item, followUp, job);
  if (!run) return [];
  if (run.ask !== undefined) return [{ text: `Say first how long it is: ${run.ask}.` }];
  const ends = waitEnds(run)?.ends;
  if (ends === undefined)
    return [
      {
        text: run.fromWork
          ? 'It counts from the end of the work.'
          : `It is a wait of ${run.minutes} min: start it, so that its time runs.`,
      },
    ];
  return ends > now ? [{ text: `It runs until ${clock(ends, now)}, ${spanText(ends - now)} from now.` }] : [];
}

/** What is said with it when it took or did not: all that was written down and that it asks for. */
export function valuesSaid({ asked }: SeenItem, held: Held): { values?: Values } {
  const known = asked.flatMap(({ key }) => {
    const value = held.get(key);
    return value ? [[key, value] as const] : [];
  });
  return known.length > 0 ? { values: Object.fromEntries(known) } : {};
}
