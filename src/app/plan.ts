import type { Checklist, Step, Undecided } from '../checklist.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { SeenItem } from '../job/sight.ts';
import type { Stage } from '../job/state.ts';
import type { Made } from './plan.worker.ts';
import type { RecordState } from './record-state.ts';

/** A job with everything that follows from it. */
export interface Planned extends Made {
  readonly job: JobFile;
  /** Undefined: it is only written up. */
  readonly record: RecordState | undefined;
  /** Steps in order, numbered from 1 over the whole sheet. */
  readonly numbers: ReadonlyMap<string, number>;
  /** It is being planned; what is told follows from the state before, if from any. */
  readonly pending: boolean;
  /** The state of the job that the rest follows from; undefined: none yet. */
  readonly planned: JobFile | undefined;
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

/** What has become of a step; one of a sheet that is only written up is open. */
export function stageOf(planned: Planned, step: string): Stage {
  return itemOf(planned, step)?.stage ?? 'open';
}

export function itemOf({ sight }: Planned, step: string): SeenItem | undefined {
  return sight?.items.find(({ id }) => id === step);
}
