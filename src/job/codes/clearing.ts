import type { Rulebook } from '../../rulebook/rulebook.ts';
import { clearingPrice, type Price } from '../../scan/cleared.ts';
import type { CodeRow, CodesSeen } from '../codes.ts';
import { type Cleared, lastCleared } from './cleared.ts';
import type { SeenItem, Sight } from '../sight.ts';
import { readinessTold } from './reading.ts';

/** What clearing codes would cost now, and what it would hide. */
export interface Clearing extends Price {
  /** The step on the list that clears them; undefined where the list has none. */
  readonly step: SeenItem | undefined;
  /** When they were, as far as somebody said so. */
  readonly cleared: Cleared | undefined;
  /** Nothing that is known would be lost but what the price tells. */
  readonly free: boolean;
}

/**
 * Told before anybody clears: self-tests that start again, permanent codes that stay, the lamp that is lost as evidence,
 * codes that nobody has explained. Codes on record are saved; their freeze frames are once the step that reads before the
 * work took.
 */
export function clearingOf(sight: Sight, seen: CodesSeen, rulebook: Rulebook): Clearing {
  const { items, job } = sight;
  const reading = job.readiness.after ?? job.readiness.before;
  const there = seen.rows.filter(({ change }) => change !== 'gone');
  const permanent = [
    ...there.filter(({ kept }) => kept.includes('permanent')).map(({ code }) => code),
    ...(reading?.permanent ?? []),
  ];
  const frames = items.some(({ followUp, stage }) => stage === 'took' && leaves(followUp, 'codes-on-record', rulebook));
  const { price, warnings } = clearingPrice({
    readiness: reading && readinessTold(reading),
    codes: there.map(({ code }) => code),
    permanent: [...new Set(permanent)],
    saved: true,
    unexplained: there
      .filter(({ unexplained, change, step }) => unexplained || (change === 'before' && !step))
      .map(({ code }) => code),
  });
  const lost =
    there.length > 0 && !frames
      ? [`the codes are on record, their freeze frames are not: save the report of the tool first`]
      : [];
  const all = [...unread(job, seen), ...lost, ...needed(there), ...lampLost(sight), ...warnings];
  return {
    price,
    warnings: all,
    step: items.find(({ followUp }) => leaves(followUp, 'codes-clear', rulebook)),
    cleared: lastCleared(sight, rulebook),
    free: all.length === 0,
  };
}

function unread({ workDone }: Sight['job'], { before, after }: CodesSeen): string[] {
  if (before ?? after) return [];
  const lost = workDone ? '' : ', and what the car came with can not be shown any more';
  return [`nobody has read the codes yet${lost}: read and save them first`];
}

/** What a step that is still open is called for by, or is shown missing by, goes with the code. */
function needed(there: readonly CodeRow[]): string[] {
  return there.flatMap(({ code, called, change, step }) => {
    const open = called.filter(({ state }) => state === 'open').map(({ title }) => title);
    const waiting = change === 'before' && step && step.stage !== 'took' && step.stage !== 'not-done';
    const titles = waiting ? [step.title] : open;
    return titles.length > 0
      ? [`${code} belongs to ${titles.join(' and ')}, still to be done: it shows whether that took, so clear behind it`]
      : [];
  });
}

/** The lamp goes out with the codes; that it was lit when the car came in has to stand somewhere. */
function lampLost({ job }: Sight): string[] {
  const lit = (job.readiness.after ?? job.readiness.before)?.modules.some(({ mil }) => mil) ?? false;
  return lit && !job.lamps.intake
    ? ['the warning lamp is lit, and nobody wrote down the lamps when the car came in']
    : [];
}

function leaves(followUp: string, state: string, { followUps }: Rulebook): boolean {
  return followUps.get(followUp)?.text.leaves?.some((left) => left.state === state) ?? false;
}
