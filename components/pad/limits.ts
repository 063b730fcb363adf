import type { Asked } from '../../src/job/asked.ts';
import type { Units } from '../../src/job/readings.ts';
import { shown } from '../../src/job/units.ts';

/** What a reading must be, in words: "−1.5° to 1.5°", "at least 12.2 V"; '' where nothing is known. */
export function limitWords({ limits, limitText, unit, choices }: Asked, units: Units): string {
  const ranges = limits.map(({ min, max }) => {
    const [least, most] = [min, max].map((figure) => (figure === undefined ? '' : shown(figure, unit, units)));
    if (least && most) return least === most ? `${least} exactly` : `${least} to ${most}`;
    return least ? `at least ${least}` : `at most ${most}`;
  });
  const [passing] = choices;
  return [...ranges, ...limitText, ...(passing ? [passing] : [])].join('; ');
}
