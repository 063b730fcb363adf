import { cases, judge, type Judged, rates } from '../comeback.cases.ts';
import type { Row } from './run.ts';

export const name = 'comeback';

/** How often the first answer, or one of the first three, is right; false assertions; the half that is kept back apart. */
export function run(): Row[] {
  const judged = cases.map((one) => judge(one));
  const halves: readonly (readonly [string, (j: Judged) => boolean])[] = [
    ['tuned half, a follow-up missed', (j) => !j.one['kept-back'] && 'followUp' in j.one.cause],
    ['kept back, a follow-up missed', (j) => j.one['kept-back'] && 'followUp' in j.one.cause],
    ['tuned half, something else', (j) => !j.one['kept-back'] && 'other' in j.one.cause],
    ['kept back, something else', (j) => j.one['kept-back'] && 'other' in j.one.cause],
  ];
  return [...halves.map(([of, test]) => ({ of, ...rates(judged.filter(test)) })), ...told(judged)];
}

/** Whether a chance means what it says: of those told with so much, how many were right. */
function told(judged: readonly Judged[]): Row[] {
  return [0, 0.25, 0.5, 0.75].map((from) => {
    const of = judged.filter(({ answer }) => {
      const chance = answer.causes[0]?.chance ?? 0;
      return chance >= from && chance < from + 0.25;
    });
    return { of: `first cause told with ${from * 100} to ${from * 100 + 25}%`, ...rates(of) };
  });
}
