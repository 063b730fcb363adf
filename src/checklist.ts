import { type RoadDrive, roadDrives } from './drive/road.ts';
import type { Facts } from './resolve/facts.ts';
import { order } from './resolve/order.ts';
import { place } from './resolve/place.ts';
import { ringText } from './resolve/print.ts';
import { rankQuestions } from './resolve/questions.ts';
import { resolve } from './resolve/resolve.ts';
import type { Question } from './resolve/result.ts';
import { type Step, type Undecided, writeSteps, writeUndecided } from './resolve/step.ts';
import { type ImpliedWork, impliedWork, timeOf, whyExcluded } from './resolve/summary.ts';
import type { Rulebook } from './rulebook/rulebook.ts';

export type { CauseNode } from './resolve/print.ts';
export type { Change, Step, Undecided } from './resolve/step.ts';

/**
 * The whole story: which follow-ups the work calls for, which must come before which, in what order they cost the
 * least time, and which question to ask next.
 */
export function checklist(facts: Facts, rulebook: Rulebook, options: { readonly all?: boolean } = {}): Checklist {
  const resolution = resolve(facts, rulebook);
  const ordered = order(resolution);
  const placed = place(resolution, ordered);
  const steps = writeSteps(resolution, ordered, placed.steps);
  const drives = roadDrives(steps, rulebook);
  return {
    ro: facts.ro,
    rulebook: rulebook.version,
    remarks: facts.remarks,
    steps,
    drives,
    undecided: writeUndecided(resolution, ordered),
    excluded: options.all ? whyExcluded(resolution) : [],
    questions: rankQuestions(resolution, ordered),
    implied: impliedWork(resolution),
    cycles: ordered.blocks.map(({ nodes, ring }, i) => ({
      block: i + 1,
      steps: nodes,
      text: ringText(ring, rulebook),
    })),
    time: timeOf(steps, drives, placed.changeMinutes),
    proved: placed.proved,
    gap: placed.gap,
  };
}

export interface Checklist {
  readonly ro: string;
  readonly rulebook: string;
  /** What the VIN and the law say beside the answers; sentences. */
  readonly remarks: readonly string[];
  readonly steps: readonly Step[];
  /** Each run of road steps as one drive that serves them all. */
  readonly drives: readonly RoadDrive[];
  readonly undecided: readonly Undecided[];
  readonly excluded: readonly { readonly followUp: string; readonly title: string; readonly because: string }[];
  readonly questions: readonly Question[];
  /** Work that follows from the lines, with its chain; `maybe` ones are also questions. */
  readonly implied: readonly ImpliedWork[];
  /** In plain words: steps that wait for each other in a ring. */
  readonly cycles: readonly { readonly block: number; readonly steps: readonly string[]; readonly text: string }[];
  /** Minutes. Waits that end with the owner are not counted; an unread wait counts with the least that is usual. */
  readonly time: { readonly hands: number; readonly changes: number; readonly waiting: number; readonly total: number };
  readonly proved: boolean;
  readonly gap: number;
}
