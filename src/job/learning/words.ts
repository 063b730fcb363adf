import type { RuleCount } from '../learning.ts';
import type { PassedOver } from './lesson.ts';

/** Why a rule was passed over, in words. */
const WHY: Readonly<Record<PassedOver, string>> = {
  declined: 'declined by the customer',
  'no-tool': 'no tool for it',
  'part-missing': 'a part was missing',
  'left-open': 'still open when the car went',
  'not-before-the-work': 'not done before the work',
  'does-not-fit': 'said not to fit the car',
  'ruled-out': 'ruled out with a photo',
  'answer-corrected': 'taken off by a corrected answer',
};

/** The reasons with their counts, the commonest first; '' where there is none. */
export function passedOverText(why: RuleCount['why']): string {
  return (Object.entries(why) as [PassedOver, number][])
    .sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1))
    .map(([reason, times]) => `${WHY[reason]} ${times}`)
    .join(', ');
}
