import type { Checklist, Step } from '../checklist.ts';
import type { Resolution } from '../resolve/resolve.ts';
import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import { askedOf } from './asked.ts';
import { Standings } from './again.ts';
import { withLineId } from './facts.ts';
import { type Item, itemFrom } from './item.ts';
import { type MustNot, mustNots } from './must-not.ts';
import { followUpOf, type Situation, situationOf, wayOf } from './situation.ts';
import { isRuledOut, type Job, type Stage } from './state.ts';
import { uncovered } from './uncovered.ts';

/** The checklist with what has become of it. */
export interface Plan {
  readonly job: Job;
  readonly rulebook: Rulebook;
  readonly checklist: Checklist;
  /** Steps in their order, those uncovered behind the step that should have covered them, the undecided last. */
  readonly items: readonly Item[];
  /** States of the car that it must not leave with. */
  readonly mustNots: readonly MustNot[];
}

// A job is never changed in place, so its plan is made once.
const made = new WeakMap<Job, Plan>();

/** Throws where the job is pinned to another rulebook, or its events name what the rulebook does not. */
export function plan(job: Job, rulebook: Rulebook): Plan {
  const had = made.get(job);
  if (had) return had;
  const situation = situationOf(job, rulebook);
  const standings = new Standings(situation);
  const steps = situation.checklist.steps.map((step) => stepItem(step, situation, standings));
  const items = steps.flatMap((item) => [item, ...uncovered(item, situation, standings)]);
  const undecided = situation.checklist.undecided.map((u) => undecidedItem(u.followUp, situation, standings));
  const result: Plan = {
    job,
    rulebook,
    checklist: namingLines(job, situation.checklist),
    items: [...items, ...undecided],
    mustNots: mustNots(situation),
  };
  made.set(job, result);
  return result;
}

export function itemOf(plan: Plan, step: string): Item | undefined {
  return plan.items.find((item) => item.id === step);
}

function stepItem(step: Step, situation: Situation, standings: Standings): Item {
  const { resolution } = situation;
  const followUp = followUpOf(step.id, situation.rulebook);
  const covers = step.covers.map((c) => situation.rulebook.followUps.get(c.followUp) as FollowUp);
  const way = wayOf(step.id, situation);
  const asked = askedOf(
    {
      followUp,
      way,
      safety: step.safety,
      required: step.level === 'required',
      boxes: step.boxes,
      covers: covers.map((f) => ({ followUp: f, way: resolution.ways.get(f.id)?.planned })),
    },
    resolution,
  );
  const claimed = situation.job.steps.get(step.id)?.notDone?.reason === 'does-not-fit' || step.asked === 'cannot-tell';
  const { again, ...item } = itemFrom(step.id, 'step', situation, standings);
  return {
    ...item,
    ...(again === undefined || step.asked ? {} : { again }),
    level: step.level,
    safety: step.safety,
    asked,
    confirms: step.confirms,
    ...(step.asked ? { was: step.asked, stage: stageThen(step.asked), waitsFor: [] } : {}),
    decides: [],
    ruledOut: claimed && isRuledOut(situation.job, step.id),
  };
}

function stageThen(was: NonNullable<Step['asked']>): Stage {
  return was === 'yes' ? 'took' : was === 'no' ? 'not-done' : 'open';
}

function undecidedItem(id: string, situation: Situation, standings: Standings): Item {
  const verdict = situation.resolution.verdicts.get(id) as NonNullable<ReturnType<Resolution['verdicts']['get']>>;
  const { followUp, level, safety, boxes } = verdict;
  return {
    ...itemFrom(id, 'undecided', situation, standings),
    level,
    safety,
    asked: askedOf(
      { followUp, way: wayOf(id, situation), safety, required: level === 'required', boxes, covers: [] },
      situation.resolution,
    ),
    confirms: [],
    decides: verdict.decides.map((question) => withLineId(situation.job, question)),
    ruledOut: isRuledOut(situation.job, id),
  };
}

/** Questions about a line name it by its id, so that an answer given on a tablet without signal still finds it. */
function namingLines(job: Job, list: Checklist): Checklist {
  const named = (question: string) => withLineId(job, question);
  return {
    ...list,
    steps: list.steps.map((s) => ({
      ...s,
      wayOpen: s.wayOpen.map(named),
      ...(s.orderWaitsFor ? { orderWaitsFor: s.orderWaitsFor.map(named) } : {}),
    })),
    undecided: list.undecided.map((u) => ({ ...u, decides: u.decides.map(named) })),
    questions: list.questions.map((q) => ({ ...q, id: named(q.id) })),
  };
}
