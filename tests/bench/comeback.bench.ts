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
  return halves.map(([of, test]) => ({ of, ...rates(judged.filter(test)) }));
}
