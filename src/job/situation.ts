import { type Checklist, checklist, type Step } from '../checklist.ts';
import { type Order, order } from '../resolve/order.ts';
import { type Resolution, resolve } from '../resolve/resolve.ts';
import type { Edge } from '../resolve/edges.ts';
import { SURELY } from '../rulebook/condition.ts';
import type { FollowUp, Rulebook, Way } from '../rulebook/rulebook.ts';
import { factsOf } from './facts.ts';
import type { Job, Mark, StepRecord } from './state.ts';

/** A job beside what the rules make of it: what every question about its steps is answered from. */
export interface Situation {
  readonly job: Job;
  readonly rulebook: Rulebook;
  readonly resolution: Resolution;
  readonly order: Order;
  readonly checklist: Checklist;
  readonly steps: ReadonlyMap<string, Step>;
  /** Sure edges between steps that are on the list, by the later one. */
  readonly before: ReadonlyMap<string, readonly Edge[]>;
}

/** Throws where the job is pinned to another rulebook. */
export function situationOf(job: Job, rulebook: Rulebook): Situation {
  if (job.rulebook !== rulebook.version)
    throw new Error(`job ${job.ro} is pinned to rulebook ${job.rulebook}, not ${rulebook.version}`);
  const facts = factsOf(job, rulebook);
  const resolution = resolve(facts, rulebook);
  const ordered = order(resolution);
  const list = checklist(facts, rulebook);
  const before = new Map<string, Edge[]>();
  const sure = new Set(ordered.nodes.filter((n) => n.verdict.kind === 'needed').map((n) => n.id));
  for (const edge of ordered.edges) {
    if (!sure.has(edge.before) || resolution.known.all(edge.open) !== SURELY) continue;
    before.set(edge.after, [...(before.get(edge.after) ?? []), edge]);
  }
  return {
    job,
    rulebook,
    resolution,
    order: ordered,
    checklist: list,
    steps: new Map(list.steps.map((s) => [s.id, s])),
    before,
  };
}

export function followUpOf(step: string, rulebook: Rulebook): FollowUp {
  return rulebook.followUps.get(step.split('#')[0] as string) as FollowUp;
}

/** The way a step is, or was, done: as recorded where that still fits this car, else as planned. */
export function wayOf(step: string, { job, rulebook, resolution }: Situation): Way | undefined {
  const followUp = followUpOf(step, rulebook);
  const ways = resolution.ways.get(followUp.id);
  const recorded = job.steps.get(step)?.way;
  return ways?.offered.find((way) => way.id === recorded) ?? ways?.planned;
}

/** The last time a follow-up took, by itself, one of its repeats, or within the step that covers it. */
export function lastTook(followUp: string, { job, resolution }: Situation): Mark | undefined {
  const by = resolution.verdicts.get(followUp)?.coveredBy?.id;
  const marks = [...job.steps].flatMap(([step, record]) => {
    const id = step.split('#')[0];
    return record.stage === 'took' && record.took && (id === followUp || id === by) ? [record.took] : [];
  });
  return marks.sort((a, b) => b.seq - a.seq)[0];
}

/** As it stands in the record, whatever has upset it since. */
export function recordedDone(record: StepRecord | undefined): boolean {
  return record?.stage === 'took' || record?.stage === 'not-done';
}
