import type { Asked } from './asked.ts';
import type { Item } from './item.ts';
import { type Judged, judgeReading, type Units } from './readings.ts';
import type { ReadingValue } from './values.ts';

/** What keeps a step from counting as proved, each with the reading that would settle it. */
export interface Unproved {
  readonly asked: Asked;
  readonly text: string;
  readonly judged?: Judged;
}

type Proved = Pick<Item, 'title' | 'safety' | 'asked'>;

/** Readings that are missing, or that say that it did not take. */
export function unproved(item: Proved, values: ReadonlyMap<string, ReadingValue>, units: Units): Unproved[] {
  return item.asked.flatMap((asked) => {
    const value = values.get(asked.key);
    if (value === undefined) return asked.must ? [{ asked, text: `${item.title}: ${wanted(asked, item)}.` }] : [];
    const judged = judgeReading(asked, value, units);
    if (judged.verdict === 'passes' || excused(item, asked, value, judged)) return [];
    return [
      {
        asked,
        judged,
        text: `${item.title}: ${judged.text}${judged.verdict === 'fails' ? consequence(asked, item) : ''}`,
      },
    ];
  });
}

function wanted(asked: Asked, item: Proved): string {
  const what = { number: 'wants a figure', choice: 'wants an answer', text: 'wants words', photo: 'wants a photo' }[
    asked.answer
  ];
  const other = item.safety ? ', or a photo of the tool saying that it is not supported' : '';
  return `${what} for "${asked.label}"${other}`;
}

/** A start condition missed on a step that can hurt nobody is kept and shown; so is a figure that somebody explains. */
function excused(item: Proved, asked: Asked, value: ReadingValue, { verdict }: Judged): boolean {
  if (item.safety || verdict !== 'fails') return false;
  return asked.when === 'entry' || (value.kind === 'number' && value.because !== undefined);
}

function consequence(asked: Asked, item: Proved): string {
  if (asked.when === 'entry') return ' Put that right before it is started.';
  return item.safety ? ' So it did not take.' : ' So it did not take; or say why it is good as it is.';
}
