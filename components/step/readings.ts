import type { FollowUpFile } from '../../src/rulebook/schema.ts';
import { capital } from '../sheet/time.ts';
import { type Car, speaking, speaks, whose } from './speaks.ts';

type ReadingFile = NonNullable<FollowUpFile['proof']>[number];
type LimitFile = NonNullable<ReadingFile['limits']>[number];

/** A value to write down: what it is, and what it must be, one line for each limit that may hold on this car. */
export interface Blank {
  readonly label: string;
  readonly unit: string;
  readonly limits: readonly string[];
  readonly choices: readonly string[];
}

export function blanks(
  readings: readonly ReadingFile[] | undefined,
  car: Car,
  makers: ReadonlyMap<string, string>,
): Blank[] {
  return speaking(readings, car).map((reading) => ({
    label: capital(reading.label),
    unit: reading.unit ?? { number: '', choice: '', text: '', photo: 'photo' }[reading.answer],
    limits: speaking(reading.limits, car).map((limit) => limitText(limit, reading.unit, car, makers)),
    choices: reading.choices ?? [],
  }));
}

function limitText(limit: LimitFile, unit: string | undefined, car: Car, makers: ReadonlyMap<string, string>): string {
  const owner = whose(limit.scope, makers);
  const figure = [rangeText(limit, unit), limit.text].filter(Boolean).join(', ');
  const perhaps = speaks(limit, car) === 'perhaps' && !owner ? 'perhaps ' : '';
  return owner ? `${owner}: ${figure}` : `${perhaps}${figure}`;
}

/** "at least 12 V", "-1.5 to 1.5 deg". */
function rangeText({ min, max }: LimitFile, unit = ''): string {
  const sign = unit === 'deg' ? '°' : unit === '%' ? '%' : unit && ` ${unit}`;
  if (min !== undefined && max !== undefined) return min === max ? `${min}${sign}` : `${min} to ${max}${sign}`;
  if (min !== undefined) return `at least ${min}${sign}`;
  return max === undefined ? '' : `at most ${max}${sign}`;
}
