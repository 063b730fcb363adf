import type { Rulebook } from '../rulebook/rulebook.ts';
import type { SeenItem, Sight } from './sight.ts';
import type { Job } from './state.ts';
import { type Span, waitEnds, waitRun } from './timing.ts';

/** Something that is over by itself, and of which somebody wants to be told. */
export interface Timer {
  readonly ro: string;
  readonly step: string;
  readonly title: string;
  /** Milliseconds of the clock; from the record, so that a reload changes nothing. */
  readonly begins: number;
  readonly ends: number;
  /** wait: the step is itself one; closing: it took, and is closed when this is over. */
  readonly kind: 'wait' | 'closing';
}

/** Every wait that is running on these jobs, the soonest first. `rulebookOf` gives the rulebook that a job is pinned to. */
export function timersOf(
  sights: readonly Sight[],
  rulebookOf: (version: string) => Pick<Rulebook, 'followUps'> | undefined,
): Timer[] {
  const running = sights
    .filter(({ job }) => job.status === 'open')
    .flatMap(({ job, items }) => items.flatMap((item) => timerOf(item, job, rulebookOf(job.rulebook))));
  return running.sort((a, b) => a.ends - b.ends || order(a.ro, b.ro) || order(a.step, b.step));
}

function timerOf(item: SeenItem, job: Job, rulebook: Pick<Rulebook, 'followUps'> | undefined): Timer[] {
  const closing = closingRun(item);
  const followUp = rulebook?.followUps.get(item.followUp);
  const wait = closing ?? (followUp && item.stage !== 'took' ? waitEnds(waitRun(item, followUp, job)) : undefined);
  if (!wait || item.was || item.stage === 'not-done' || item.stage === 'sent-out') return [];
  return [{ ro: job.ro, step: item.id, title: item.title, ...wait, kind: closing ? 'closing' : 'wait' }];
}

/** The wait that closes a step; one without seconds is only something to do. */
function closingRun({ closing, record }: SeenItem): Span | undefined {
  if (!closing?.open || closing.seconds === 0 || !record?.took) return undefined;
  const begins = Date.parse(record.took.at);
  return { begins, ends: begins + closing.seconds * 1000 };
}

function order(a: string, b: string): number {
  return a < b ? -1 : Number(a > b);
}
