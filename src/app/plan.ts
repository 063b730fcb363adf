import { checklist, type Checklist, type Step } from '../checklist.ts';
import { type Facts, type JobFile, readFacts } from '../resolve/facts.ts';
import type { Fault } from '../rulebook/fault.ts';
import type { LawReading } from '../vehicle/law.ts';
import type { VinReading } from '../vehicle/vin.ts';
import type { Book } from './book.ts';
import { lawOf, vinOf, withLaw } from './vehicle.ts';

/** A job with everything that follows from it. */
export interface Planned {
  readonly job: JobFile;
  readonly vin: VinReading | undefined;
  readonly law: LawReading;
  /** What keeps the job from being planned: a part or trait that this rulebook does not know. */
  readonly faults: readonly Fault[];
  readonly facts: Facts | undefined;
  readonly list: Checklist | undefined;
  /** Steps in order, numbered from 1 over the whole sheet. */
  readonly numbers: ReadonlyMap<string, number>;
}

const planned = new WeakMap<JobFile, { book: Book; plan: Planned }>();

/** Plans a job; a job that did not change is not planned again. */
export function plan(job: JobFile, book: Book): Planned {
  const known = planned.get(job);
  if (known?.book === book) return known.plan;
  const made = planAnew(job, book);
  planned.set(job, { book, plan: made });
  return made;
}

function planAnew(job: JobFile, book: Book): Planned {
  const law = lawOf(job, book);
  const { facts, faults } = readFacts(withLaw(job, law, book), book.rulebook);
  const list = facts && checklist(facts, book.rulebook);
  const numbers = new Map(list?.steps.map((step, i) => [step.id, i + 1]));
  return { job, vin: vinOf(job, book), law, faults, facts, list, numbers };
}

/** Every follow-up that is not on the list, with the first fact that keeps it off. Takes longer than the plan itself. */
export function whyNotHere({ facts }: Planned, book: Book): Checklist['excluded'] {
  return facts ? checklist(facts, book.rulebook, { all: true }).excluded : [];
}

/** Steps before the work, and those while parts are off and after. */
export function stepsOf({ list }: Planned, when: 'before' | 'later'): Step[] {
  return (list?.steps ?? []).filter((step) => (step.phase === 'before') === (when === 'before'));
}

export function openQuestions({ list }: Planned): Checklist['questions'] {
  return (list?.questions ?? []).filter((question) => question.answered === undefined);
}
