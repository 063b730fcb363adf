import type { Asked } from './asked.ts';
import type { Item } from './item.ts';
import type { Plan } from './plan.ts';
import { shown } from './units.ts';
import type { ReadingValue } from './values.ts';

/** The foreman's list: made from what was done, never a copy of the technician's. */
export interface CheckItem {
  /** The step's id, or NOTHING_LEFT. */
  readonly id: string;
  readonly title: string;
  /** What is asked of the foreman: a figure read again where there is one, else whether it is as it should be. */
  readonly asked: Asked;
  /** What the technician wrote down. */
  readonly values: readonly string[];
  /** Who had a hand in it and does not check it. */
  readonly hands: readonly string[];
  /** A check counts only if it came after this place in the log. */
  readonly since: number;
}

export const NOTHING_LEFT = 'nothing-left';
/** Five to nine items a pause is what is read in earnest (Gawande, as told by readers; common practice). */
const MOST_A_PAGE = 9;

/** Safety items that took, nine a page at most; the last page ends with what must not stay in or on the car. */
export function finalCheck(plan: Plan): CheckItem[][] {
  const items = plan.items.filter(toCheck).map((item) => checkOf(item, plan));
  const pages: CheckItem[][] = [];
  for (let i = 0; i < items.length; i += MOST_A_PAGE) pages.push(items.slice(i, i + MOST_A_PAGE));
  const last = pages.pop() ?? [];
  return [...pages, [...last, nothingLeft(plan)]];
}

export function checkItem(plan: Plan, id: string): CheckItem | undefined {
  return finalCheck(plan)
    .flat()
    .find((item) => item.id === id);
}

function toCheck(item: Item): boolean {
  return item.safety && item.stage === 'took' && !item.record?.rivals && item.was === undefined && !item.owner;
}

function checkOf(item: Item, { job }: Plan): CheckItem {
  const { record } = item;
  const proof = item.asked.filter((asked) => asked.when === 'proof');
  const figure = proof.find((asked) => asked.answer === 'number' && asked.limits.length > 0);
  const choice = proof.find((asked) => asked.answer === 'choice');
  return {
    id: item.id,
    title: item.title,
    asked:
      figure ?? choice ?? asks(`check/${item.id}`, 'Seen on the car or on its paper', ['as it should be', 'not right']),
    values: proof.flatMap((asked) => valueText(asked, record?.values.get(asked.key), job.units)),
    hands: [...(record?.hands ?? [])],
    since: record?.changed ?? 0,
  };
}

function nothingLeft({ job }: Plan): CheckItem {
  const label =
    'Nothing of ours is left in or on the car: interface unplugged, charger and memory keeper off, covers, plates and targets away';
  const left = job.setUpLeft
    ? [
        `left at ${job.setUpLeft.at}: ${[...Object.entries(job.setUpLeft.setup).map((e) => e.join(' ')), job.setUpLeft.note].filter(Boolean).join(', ')}`,
      ]
    : [];
  return {
    id: NOTHING_LEFT,
    title: 'Nothing left behind',
    asked: asks('check/nothing-left', label, ['nothing is left', 'something is left']),
    values: left,
    hands: [],
    since: job.touched,
  };
}

function asks(key: string, label: string, choices: readonly string[]): Asked {
  return { key, when: 'proof', label, answer: 'choice', choices, limits: [], limitText: [], must: true };
}

function valueText(asked: Asked, value: ReadingValue | undefined, units: 'metric' | 'us'): string[] {
  if (value === undefined) return [];
  switch (value.kind) {
    case 'number':
      return [`${asked.label}: ${shown(value.value, value.unit ?? asked.unit, units)}`];
    case 'photo':
      return [`${asked.label}: photo ${value.hash.slice(0, 8)}`];
    case 'not-supported':
      return [`${asked.label}: the tool says not supported, photo ${value.photo.slice(0, 8)}`];
    default:
      return [`${asked.label}: ${value.value}`];
  }
}
