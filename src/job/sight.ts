import type { Checklist } from '../checklist.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { withPlace } from './facts.ts';
import { type CheckItem, finalCheck } from './final-check.ts';
import { refusals } from './gate.ts';
import type { Item } from './item.ts';
import { plan } from './plan.ts';
import type { Refusal } from './refusal.ts';
import { type Sheet, sheetOf } from './rewrite.ts';
import type { Job, Mark } from './state.ts';
import { type SafetyLine, safetyLines } from './unfinished.ts';

/** A step with what has become of it, its follow-up by id. */
export interface SeenItem extends Omit<Item, 'followUp'> {
  readonly followUp: string;
}

/** Everything that a screen shows of a job on record, as plain data that can be sent from a worker. */
export interface Sight {
  readonly job: Job;
  /** The job as it is written up. */
  readonly sheet: Sheet;
  readonly checklist: Checklist;
  readonly items: readonly SeenItem[];
  readonly mustNots: readonly SeenMustNot[];
  /** Why the car may not go; none = it may. */
  readonly refusals: readonly Refusal[];
  /** The foreman's pages. */
  readonly checks: readonly (readonly CheckItem[])[];
  /** What the customer would sign if the car left as it is. */
  readonly safetyLines: readonly SafetyLine[];
}

interface SeenMustNot {
  readonly state: string;
  readonly title: string;
  readonly since: Mark;
  readonly endedBy: readonly { readonly id: string; readonly title: string }[];
}

/** Throws where the job is not opened, or pinned to another rulebook. */
export function sightOf(job: Job, rulebook: Rulebook): Sight {
  const made = plan(job, rulebook);
  return {
    job,
    sheet: sheetOf(job, rulebook),
    checklist: countingLines(job, made.checklist),
    items: made.items.map(({ followUp, ...item }) => ({ ...item, followUp: followUp.id })),
    mustNots: made.mustNots.map(({ state: { id, title }, since, endedBy }) => ({ state: id, title, since, endedBy })),
    refusals: refusals(made),
    checks: finalCheck(made),
    safetyLines: safetyLines(made),
  };
}

/** A screen counts the lines that it shows; what it sends names them by their ids (rewrite.ts). */
function countingLines(job: Job, list: Checklist): Checklist {
  const counted = (question: string) => withPlace(job, question) ?? question;
  return {
    ...list,
    steps: list.steps.map((step) => ({
      ...step,
      wayOpen: step.wayOpen.map(counted),
      ...(step.orderWaitsFor ? { orderWaitsFor: step.orderWaitsFor.map(counted) } : {}),
    })),
    undecided: list.undecided.map((one) => ({ ...one, decides: one.decides.map(counted) })),
    questions: list.questions.map((question) => ({ ...question, id: counted(question.id) })),
  };
}
