import type { Step } from '../checklist.ts';
import { reasonText } from '../resolve/print.ts';
import type { CallLevel } from '../resolve/result.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Standings } from './again.ts';
import type { Asked } from './asked.ts';
import { followUpOf, type Situation, wayOf } from './situation.ts';
import { isRuledOut, type Stage, type StepRecord } from './state.ts';

/** A step of the plan with what has become of it. */
export interface Item {
  /** The step's id. */
  readonly id: string;
  readonly followUp: FollowUp;
  readonly title: string;
  /** undecided: it may still come to nothing; uncovered: the step that covers it did not take. */
  readonly kind: 'step' | 'undecided' | 'uncovered';
  /** The strongest it can still be. */
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly stage: Stage;
  /** Why it is to be done once more though it took, or who sent it back. */
  readonly again?: string;
  readonly waitsFor: readonly Wait[];
  readonly way?: string;
  /** All that are possible on this car. */
  readonly ways: readonly string[];
  readonly asked: readonly Asked[];
  /** States to be confirmed before it starts; questions. */
  readonly confirms: Step['confirms'];
  /** What ends it, where it has been told to; `open` until somebody says so. */
  readonly closing?: { readonly open: boolean; readonly seconds: number };
  /** It ends with the owner: the gate asks only that it stands on the hand-over. */
  readonly owner: boolean;
  /** Once the work is done, a step of an earlier phase turns into "was it done?". */
  readonly was?: NonNullable<Step['asked']>;
  /** Questions that could settle whether it is needed. */
  readonly decides: readonly string[];
  /** The foreman settled it with evidence. */
  readonly ruledOut: boolean;
  readonly record?: StepRecord;
}

export interface Wait {
  readonly step: string;
  readonly title: string;
  readonly because: string;
  /** Its forerunner will not come: only settling it as not done too is left. */
  readonly never: boolean;
}

/** What every item takes from the record and the order. */
export function itemFrom(id: string, kind: Item['kind'], situation: Situation, standings: Standings) {
  const { stage, again } = standings.of(id);
  const record = situation.job.steps.get(id);
  const followUp = followUpOf(id, situation.rulebook);
  const way = wayOf(id, situation);
  const closing = way?.text.closing;
  const done = stage === 'took' && !record?.paper;
  const wait = closing?.wait;
  return {
    id,
    followUp,
    title: `${followUp.title}${/#\d+$/.exec(id)?.[0].replace('#', ', time ') ?? ''}`,
    kind,
    stage,
    ...(again === undefined ? {} : { again }),
    waitsFor: waitsOf(id, situation, standings),
    ...(way ? { way: way.id } : {}),
    ways: (situation.resolution.ways.get(followUp.id)?.offered ?? []).map((w) => w.id),
    ...(closing && done
      ? {
          closing: {
            open: record?.closed === undefined,
            seconds: wait ? (wait.seconds ?? 0) + (wait.minutes ?? 0) * 60 + (wait.hours ?? 0) * 3600 : 0,
          },
        }
      : {}),
    owner: way?.finish === 'owner',
    ...(record ? { record } : {}),
  };
}

/** Forerunners that are not finished; one that was not done still bars who needs what it would have left. */
function waitsOf(id: string, situation: Situation, standings: Standings): Wait[] {
  const { job, rulebook } = situation;
  return (situation.before.get(id) ?? []).flatMap((edge) => {
    const was = situation.steps.get(edge.before)?.asked;
    const { stage } = standings.of(edge.before);
    const contested = standings.isContested(edge.before);
    if (was || (stage === 'took' && !contested)) return [];
    const never = stage === 'not-done' && !contested;
    const missing =
      edge.reason.kind === 'needs' &&
      job.steps.get(edge.before)?.notDone?.reason !== 'does-not-fit' &&
      !isRuledOut(job, edge.before);
    if (never && !missing) return [];
    return [
      { step: edge.before, title: followUpOf(edge.before, rulebook).title, because: reasonText(edge.reason), never },
    ];
  });
}
