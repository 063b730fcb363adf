import type { Item } from './item.ts';
import type { Job } from './state.ts';

/** Waits are judged by the times that people's events bear. */

/** A step that is itself a wait takes only when its time is over. */
export function waitOver(item: Item, job: Job, at: string): string[] {
  const wait = waitOf(item);
  if (wait === undefined) return [];
  const ask = waitAsked(item, job);
  if (ask !== undefined) return [`${item.title} needs to be told how long first: ${ask}`];
  const told = job.answers.get(`wait:${item.followUp.id}`)?.answer;
  const minutes = typeof told === 'number' ? told : Number(wait);
  const fromWork = typeof wait === 'object' && wait['counts-from'] === 'work-done';
  if (fromWork && !job.workDone) return [`${item.title} counts from the end of the work: say that the work is done`];
  const from = fromWork ? job.workDone : item.stage === 'running' ? item.record?.startedAt : undefined;
  if (!from) return [`${item.title} is a wait of ${minutes} min: start it, so that its time runs`];
  return early(`${item.title} runs until`, from.at, minutes * 60, at);
}

/** What has to be read off something before its length is known, where nobody has. */
export function waitAsked(item: Item, job: Job): string | undefined {
  const wait = waitOf(item);
  const told = typeof job.answers.get(`wait:${item.followUp.id}`)?.answer === 'number';
  return typeof wait === 'object' && !told ? wait.ask : undefined;
}

function waitOf(item: Item) {
  if (item.followUp.text.kind !== 'wait' || item.owner) return undefined;
  return item.followUp.ways.find((w) => w.id === item.way)?.text.minutes?.wait;
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
