import { refusalsOfItem } from './gate-steps.ts';
import type { Item } from './item.ts';
import type { Plan } from './plan.ts';
import { sentence } from './values.ts';

/** What the customer signs where a car leaves unfinished: each open safety item in plain words. */
export interface SafetyLine {
  readonly item: string;
  readonly text: string;
}

export function safetyLines(plan: Plan): SafetyLine[] {
  const open = plan.items.filter((item) => item.safety && refusalsOfItem(item, plan).length > 0);
  const states = plan.mustNots.map(({ state }) => ({
    item: state.id,
    text: `NOT FINISHED: the car still has this: ${state.title}.`,
  }));
  return [...open.map((item) => ({ item: item.id, text: lineOf(item) })), ...states];
}

function lineOf(item: Item): string {
  const what = item.kind === 'undecided' ? 'nobody could tell whether the car needs it' : 'not done or not proved';
  const notice = item.followUp.text.skipped[0]?.notice;
  return `NOT FINISHED: ${item.title}, ${what}.${notice ? ` ${sentence(`What may happen: ${notice}`)}` : ''}`;
}
