import { checklist, type Checklist, type Step, type Undecided } from '../checklist.ts';
import { type Facts, type JobFile, readFacts } from '../resolve/facts.ts';
import type { Fault } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';

/** A job with everything that follows from it. */
export interface Planned {
  readonly job: JobFile;
  /** What keeps the job from being planned: a part or trait that this rulebook does not know. */
  readonly faults: readonly Fault[];
  readonly facts: Facts | undefined;
  readonly list: Checklist | undefined;
  /** Steps in order, numbered from 1 over the whole sheet. */
  readonly numbers: ReadonlyMap<string, number>;
}

const planned = new WeakMap<JobFile, { rulebook: Rulebook; plan: Planned }>();

/** Plans a job; a job that did not change is not planned again. */
export function plan(job: JobFile, rulebook: Rulebook): Planned {
  const known = alreadyPlanned(job, rulebook);
  if (known) return known;
  const made = { job, ...planAnew(job, rulebook) };
  planned.set(job, { rulebook, plan: made });
  return made;
}

function planAnew(job: JobFile, rulebook: Rulebook): Omit<Planned, 'job'> {
  const { facts, faults } = readFacts(job, rulebook);
  try {
    const list = facts && checklist(facts, rulebook);
    return { facts, faults, list, numbers: new Map(list?.steps.map((step, i) => [step.id, i + 1])) };
  } catch (error) {
    // One job that cannot be planned must not take the sheets of the other cars away.
    console.error(error);
    const fault = { file: 'job', pointer: '', message: `could not be planned (${String(error)})` };
    return { facts, faults: [...faults, fault], list: undefined, numbers: new Map() };
  }
}

/** The plan of a job if there is one, for who would rather wait than make one. */
export function alreadyPlanned(job: JobFile, rulebook: Rulebook): Planned | undefined {
  const known = planned.get(job);
  return known?.rulebook === rulebook ? known.plan : undefined;
}

/** Every follow-up that is not on the list, with the first fact that keeps it off. Takes longer than the plan itself. */
export function whyNotHere({ facts }: Planned, rulebook: Rulebook): Checklist['excluded'] {
  return facts ? checklist(facts, rulebook, { all: true }).excluded : [];
}

/** Steps before the work, and those while parts are off and after. */
export function stepsOf({ list }: Planned, when: 'before' | 'later'): Step[] {
  return (list?.steps ?? []).filter((step) => (step.phase === 'before') === (when === 'before'));
}

export function openQuestions({ list }: Planned): Checklist['questions'] {
  return (list?.questions ?? []).filter((question) => question.answered === undefined);
}

/** What is undecided under the question that settles it best; nothing stands twice. */
export function byQuestion({ list }: Planned): { question: string; items: Undecided[] }[] {
  const rank = new Map(list?.questions.map(({ id }, i) => [id, i]));
  const groups = new Map<string, Undecided[]>();
  for (const item of list?.undecided ?? []) {
    const [best = ''] = item.decides.toSorted((a, b) => (rank.get(a) ?? Infinity) - (rank.get(b) ?? Infinity));
    groups.set(best, [...(groups.get(best) ?? []), item]);
  }
  const ranked = [...groups].sort(([a], [b]) => (rank.get(a) ?? Infinity) - (rank.get(b) ?? Infinity));
  return ranked.map(([id, items]) => ({
    question: list?.questions.find((one) => one.id === id)?.text ?? 'It hangs on another step',
    items,
  }));
}
