import { resolve, type Resolution } from '../../resolve/resolve.ts';
import type { Verdict } from '../../resolve/result.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { JobEvent } from '../events.ts';
import { factsOf } from '../facts.ts';
import { isRuledOut, type Job } from '../state.ts';
import type { NOT_DONE } from '../values.ts';

/** Why a needed follow-up was passed over. The last three are somebody's word that it had no business on the list. */
export type PassedOver =
  | Exclude<(typeof NOT_DONE)[number], 'does-not-fit'>
  | 'left-open'
  | 'not-before-the-work'
  | 'does-not-fit'
  | 'ruled-out'
  | 'answer-corrected';

export type Fate = 'done' | 'skipped' | 'overridden';

/** What became of one follow-up on one job. */
export interface Taught {
  readonly followUp: string;
  readonly fate: Fate;
  readonly why?: PassedOver;
  /** The triggers that called for it, by their "because"; none where another step did. */
  readonly triggers: readonly string[];
}

/** What one job teaches of the rules, as plain data. Names of nobody: rules are judged, not people. */
export interface Lesson {
  readonly ro: string;
  /** It was released or left unfinished: only then what became of each rule is known. */
  readonly finished: boolean;
  /** Why it could not be counted. */
  readonly because?: string;
  readonly taught: readonly Taught[];
  /** What had brought it back, as it turned out: the last word stands. */
  readonly cameBack?: string;
  readonly notes: readonly Noted[];
}

export interface Noted {
  /** Left out where no rule has what is missing. */
  readonly followUp?: string;
  readonly was: 'wrong' | 'missing';
  readonly note?: string;
  readonly ro: string;
}

/**
 * Pure. It needs the verdicts of the rules and what is on record of each step, not their order: a lesson costs what the
 * verdicts cost.
 * @param events those that made the job: a corrected answer is told by the event that turned a verdict round
 */
export function lessonOf(job: Job, events: Iterable<JobEvent>, book: Rulebook | undefined): Lesson {
  const notes = job.itemNotes.map(
    ({ step, was, note }): Noted => ({
      ro: job.ro,
      was,
      ...(step ? { followUp: step.split('#')[0] as string } : {}),
      ...(note ? { note } : {}),
    }),
  );
  const back = job.outcomes.at(-1)?.followUp;
  const about = { ro: job.ro, notes, ...(back ? { cameBack: back } : {}) };
  if (!book) return { ...about, finished: false, taught: [], because: `rulebook ${job.rulebook} is not at hand` };
  if (job.status !== 'released' && job.status !== 'left-unfinished') return { ...about, finished: false, taught: [] };
  return { ...about, finished: true, taught: taughtBy(job, events, resolve(factsOf(job, book), book)) };
}

function taughtBy(job: Job, events: Iterable<JobEvent>, resolution: Resolution): Taught[] {
  const taught = [...resolution.verdicts.values()].flatMap((verdict): Taught[] => {
    const became = becameOf(verdict, job, resolution);
    return became ? [{ followUp: verdict.followUp.id, ...became, triggers: triggersOf(verdict) }] : [];
  });
  const corrected = [...correctedAway(events)].filter((id) => !taught.some(({ followUp }) => followUp === id));
  return [
    ...taught,
    ...corrected.map((followUp): Taught => ({ followUp, fate: 'overridden', why: 'answer-corrected', triggers: [] })),
  ];
}

function triggersOf({ causes }: Verdict): string[] {
  return [...new Set(causes.flatMap((cause) => (cause.kind === 'call' ? [cause.trigger.because] : [])))];
}

type Became = Pick<Taught, 'fate' | 'why'>;

/**
 * A follow-up counts once a job, though it may have several steps: one that was passed over anywhere was. Undefined where
 * nothing is said of the rule: undecided and nobody settled it, or it is the owner's to do.
 */
function becameOf(verdict: Verdict, job: Job, resolution: Resolution): Became | undefined {
  const { followUp, kind, coveredBy } = verdict;
  const records = [...job.steps].filter(([step]) => step.split('#')[0] === followUp.id);
  const notFit = records.some(([, { notDone }]) => notDone?.reason === 'does-not-fit');
  if (isRuledOut(job, followUp.id) || records.some(([step]) => isRuledOut(job, step)))
    return { fate: 'overridden', why: 'ruled-out' };
  if (notFit) return { fate: 'overridden', why: 'does-not-fit' };
  const left = records.find(([, { stage }]) => stage === 'not-done');
  const reason = left?.[1].notDone?.reason;
  if (reason && reason !== 'does-not-fit') return { fate: 'skipped', why: reason };
  if (records.length > 0 && records.every(([, { stage }]) => stage === 'took')) return { fate: 'done' };
  if (kind !== 'needed') return undefined;
  if (records.length === 0 && coveredBy) return withinOf(coveredBy.id, job);
  if (verdict.asked) return beforeWork(verdict.asked);
  const way = resolution.ways.get(followUp.id)?.planned;
  if (records.length === 0 && way?.finish === 'owner') return undefined;
  return { fate: 'skipped', why: 'left-open' };
}

/** Done within another step, as far as that one took. */
function withinOf(by: string, job: Job): Became | undefined {
  return job.steps.get(by)?.stage === 'took' ? { fate: 'done' } : undefined;
}

/** Whether it came before the work: said when the work was done. Where nobody can tell, nothing is said of the rule. */
function beforeWork(asked: NonNullable<Verdict['asked']>): Became | undefined {
  if (asked === 'yes') return { fate: 'done' };
  return asked === 'no' ? { fate: 'skipped', why: 'not-before-the-work' } : undefined;
}

/** Follow-ups that a corrected answer took off the list: somebody had been called to a thing that this car has not. */
function correctedAway(events: Iterable<JobEvent>): Set<string> {
  const away = new Set<string>();
  for (const event of events) {
    if (event.type !== 'trait-told' && event.type !== 'answered' && event.type !== 'vehicle-told') continue;
    for (const { followUp, from, to } of event.flips)
      if (from === 'needed' && to === 'excluded') away.add(followUp);
      else if (to === 'needed') away.delete(followUp);
  }
  return away;
}
