import { html, type TemplateResult } from 'lit';
import type { CodesSeen } from '../../src/job/codes.ts';
import { capital } from '../sheet/time.ts';

const WORDS = ['none', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];

/** What the whole comparison comes to, the deciding thing first. */
export function headline({ before, after, rows, counts }: CodesSeen): TemplateResult {
  if (!before && !after)
    return html`<b>Nothing is read yet.</b> Read all modules before the work, so that what is new after it can be told.`;
  if (!after) {
    const there =
      rows.length === 0 ? 'No code before the work' : `${capital(several(rows.length, 'code'))} before the work`;
    return html`<b>${there}.</b> Read again once the work is done.`;
  }
  const held = rows.filter(({ holds }) => holds).length;
  const then =
    held === 0
      ? 'No code holds the car.'
      : `${capital(word(held))} ${held === 1 ? 'holds' : 'hold'} the car until explained.`;
  if (!before)
    return html`<b>${capital(several(counts.there, 'code'))} there; nobody read before the work, so none can be called old.</b> ${then}`;
  if (rows.length === 0) return html`<b>No code before the work, and none after it.</b>`;
  const parts = [
    counts.gone > 0 ? `${word(counts.gone)} gone` : '',
    counts.stays > 0 ? `${word(counts.stays)} ${counts.stays === 1 ? 'stays' : 'stay'}` : '',
    counts.new > 0 ? `${word(counts.new)} ${counts.new === 1 ? 'is' : 'are'} new` : '',
  ].filter(Boolean);
  return html`<b>${capital(parts.join(', '))}.</b> ${then}`;
}

function several(count: number, noun: string): string {
  return count === 0 ? `no ${noun}` : `${word(count)} ${noun}${count === 1 ? '' : 's'}`;
}

function word(count: number): string {
  return WORDS[count] ?? String(count);
}
