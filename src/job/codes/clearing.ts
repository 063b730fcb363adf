import type { Rulebook } from '../../rulebook/rulebook.ts';
import { clearingPrice, type Price } from '../../scan/cleared.ts';
import type { CodesSeen } from '../codes.ts';
import type { SeenItem, Sight } from '../sight.ts';
import { readinessTold } from './reading.ts';

/** What clearing codes would cost now, and what it would hide. */
export interface Clearing extends Price {
  /** The step on the list that clears them; undefined where the list has none. */
  readonly step: SeenItem | undefined;
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
  const all = [...lost, ...warnings];
  return {
    price,
    warnings: all,
    step: items.find(({ followUp }) => leaves(followUp, 'codes-clear', rulebook)),
    free: all.length === 0,
  };
}

function leaves(followUp: string, state: string, { followUps }: Rulebook): boolean {
  return followUps.get(followUp)?.text.leaves?.some((left) => left.state === state) ?? false;
}
