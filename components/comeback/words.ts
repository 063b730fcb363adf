import type { Comeback } from '../../src/job/comeback/comeback.ts';
import type { CauseKind } from '../../src/job/comeback/standing.ts';
import type { Stage } from '../bolt/bolt.ts';
import { sentence } from '../sheet/time.ts';

export const KINDS: Readonly<Record<CauseKind, string>> = {
  'never-done': 'never done',
  'did-not-take': 'did not take',
  'closing-missed': 'done, but not closed',
  'out-of-order': 'done too early',
  'undone-later': 'undone again later',
  'trait-wrong': 'ruled out by a wrong answer about the car',
  expected: 'to be expected, goes by itself',
  elsewhere: 'no missed follow-up',
};

/** How a step stands that can be such a cause, where the record of that job is not at hand. */
export const STAGE_OF: Readonly<Record<CauseKind, Stage | undefined>> = {
  'never-done': 'open',
  'did-not-take': 'did-not-take',
  'closing-missed': 'took',
  'out-of-order': 'took',
  'undone-later': 'took',
  'trait-wrong': 'not-done',
  expected: 'open',
  elsewhere: undefined,
};

/** In words: a figure would be believed more than it is worth. */
export function chanceText(chance: number): string {
  if (chance >= 0.5) return 'likely';
  return chance >= 0.15 ? 'possible' : 'a long shot';
}

export function standsOut({ causes, sure, afresh }: Comeback): { readonly head: string; readonly rest: string } {
  const [first] = causes;
  if (!first) return { head: 'Nothing fits.', rest: sentence(afresh.because) };
  if (afresh.advised)
    return {
      head: 'None of these stands out: look afresh.',
      rest: `${sentence(afresh.because)} What is below is cheap to rule out first.`,
    };
  if (sure) return { head: `${first.title} fits by far the best.`, rest: 'Test it before anything is done again.' };
  return { head: 'Likeliest first; none is sure.', rest: 'The test to begin with tells them apart.' };
}
