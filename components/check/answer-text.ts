import type { Asked } from '../../src/job/asked.ts';
import type { Units } from '../../src/job/readings.ts';
import { shown } from '../../src/job/units.ts';
import type { ReadingValue } from '../../src/job/values.ts';

/** An answer as it is written on the sheet. */
export function answerText(value: ReadingValue, asked: Pick<Asked, 'unit'>, units: Units): string {
  switch (value.kind) {
    case 'number':
      return shown(value.value, value.unit ?? asked.unit, units);
    case 'photo':
      return `photo ${value.hash.slice(0, 8)}`;
    case 'not-supported':
      return 'the tool says not supported';
    default:
      return value.value;
  }
}
