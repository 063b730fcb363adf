import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Item } from './item.ts';
import type { Job, Mark } from './state.ts';

/** Waits are judged by the times that people's events bear. */

/** A step that is itself a wait takes only when its time is over. */
export function waitOver(item: Item, job: Job, at: string): string[] {
  const run = waitRun(item, item.followUp, job);
  if (run === undefined) return [];
  if (run.ask !== undefined) return [`${item.title} needs to be told how long first: ${run.ask}`];
  if (run.fromWork && !run.from) return [`${item.title} counts from the end of the work: say that the work is done`];
  if (!run.from) return [`${item.title} is a wait of ${run.minutes} min: start it, so that its time runs`];
  return early(`${item.title} runs until`, run.from.at, run.minutes * 60, at);
}

/** How long a step that is a wait lasts, and since when it runs. */
export interface WaitRun {
  /** What has to be read off something before its length is known, where nobody has. */
  readonly ask?: string;
  readonly minutes: number;
  readonly fromWork: boolean;
  readonly from?: Mark;
}

/** undefined: the step is no wait, or one that ends with the owner. */
export function waitRun(
  item: Pick<Item, 'way' | 'owner' | 'stage' | 'record'>,
  followUp: FollowUp,
  job: Job,
): WaitRun | undefined {
  if (followUp.text.kind !== 'wait' || item.owner) return undefined;
  const wait = followUp.ways.find((w) => w.id === item.way)?.text.minutes?.wait;
  if (wait === undefined) return undefined;
  const told = job.answers.get(`wait:${followUp.id}`)?.answer;
  const fromWork = typeof wait === 'object' && wait['counts-from'] === 'work-done';
  const from = fromWork ? job.workDone : item.stage === 'running' ? item.record?.startedAt : undefined;
  return {
    ...(typeof wait === 'object' && typeof told !== 'number' ? { ask: wait.ask } : {}),
    minutes: typeof told === 'number' ? told : Number(wait),
    fromWork,
    ...(from ? { from } : {}),
  };
}

/** In milliseconds of the clock. */
export interface Span {
  readonly begins: number;
  readonly ends: number;
}

/** undefined while it does not run, or its length is not known. */
export function waitEnds(run: WaitRun | undefined): Span | undefined {
  if (!run?.from || run.ask !== undefined) return undefined;
  const begins = Date.parse(run.from.at);
  return { begins, ends: begins + run.minutes * 60_000 };
}

/** What has to be read off something before its length is known, where nobody has. */
export function waitAsked(item: Item, job: Job): string | undefined {
  return waitRun(item, item.followUp, job)?.ask;
}

/** When a closing wait is over, if it is not yet. */
export function closingOver(item: Item, at: string): string | undefined {
  const from = item.record?.took;
  return item.closing && from
    ? early(`${item.title} is not closed before`, from.at, item.closing.seconds, at)[0]
    : undefined;
}

function early(says: string, from: string, seconds: number, at: string): string[] {
  const end = Date.parse(from) + seconds * 1000;
  const left = Math.ceil((end - Date.parse(at)) / 1000);
  if (left <= 0) return [];
  return [
    `${says} ${new Date(end).toISOString().replace('.000Z', 'Z')}, ${left > 90 ? `${Math.ceil(left / 60)} min` : `${left} s`} from now`,
  ];
}
