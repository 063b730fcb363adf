import type { Skipped } from '../../rulebook/schema.ts';
import type { z } from 'zod';

type SetsIn = z.infer<typeof Skipped>['sets-in'];

/** Days from hand-over between which a car with such a fault is heard of; common practice, no source. */
const HEARD: Record<SetsIn, readonly [number, number]> = {
  'at-once': [0, 14],
  'same-day': [0, 21],
  days: [1, 45],
  weeks: [4, 150],
  months: [20, 800],
};
const EARLY = 0.55;
const LATE = 0.7;

/** How far the days since hand-over speak for what sets in so. */
export function timing(setsIn: SetsIn, days: number | undefined): { readonly factor: number; readonly text?: string } {
  if (days === undefined) return { factor: 1 };
  const [first, last] = HEARD[setsIn];
  const when = setsIn.replace('-', ' ');
  if (days < first) return { factor: EARLY, text: `it sets in ${when}: ${daysText(days)} would be early` };
  if (days > last) return { factor: LATE, text: `it sets in ${when}: ${daysText(days)} would be late` };
  return { factor: 1, text: `it sets in ${when}: that fits ${daysText(days)}` };
}

export function daysText(days: number): string {
  return days === 0 ? 'the same day' : days === 1 ? 'one day' : `${days} days`;
}
