import { html, nothing, type TemplateResult } from 'lit';
import type { SeenItem } from '../../src/job/sight.ts';
import type { FollowUp } from '../../src/rulebook/rulebook.ts';
import { clock, dayText } from '../sheet/clock.ts';
import { capital, sentence } from '../sheet/time.ts';
import { NOT_DONE } from './other-things.ts';

/** What the record says of a step, in the pen of who said it. */
export function told(item: SeenItem, followUp: FollowUp, now: number): TemplateResult {
  const { record } = item;
  const again = item.again ? html`<p class="strong"><b>To be done again:</b> ${sentence(item.again)}</p>` : nothing;
  if (!record || item.was) return html`${again}`;
  const signed = html`<span class="told">${clock(record.at, now)} ${record.by}</span>`;
  switch (item.stage) {
    case 'running':
      return html`${again}<p>Running since <span class="told">${clock(record.startedAt?.at ?? record.at, now)} ${record.startedAt?.by ?? record.by}</span>. ${tries(item, followUp)}</p>`;
    case 'took':
      return html`<p>${record.paper ? 'Came back with its paper' : 'Took'} ${signed}.</p>`;
    case 'did-not-take':
      return html`${again}<p><b>Did not take,</b> ${signed}. ${tried(item, followUp)} ${record.why ? html`<span class="told">${record.why}</span>` : nothing}</p>`;
    case 'stuck':
      return html`<p><b>Stuck</b> since ${signed}. ${tried(item, followUp)}</p>${record.why ? html`<p class="strong"><b>Now:</b> ${sentence(record.why)}</p>` : nothing}<p>What needs it waits; everything else goes on.</p>`;
    case 'sent-out':
      return html`<p>With <span class="told">${record.sentOut?.firm}</span> since <span class="told">${dayText(record.sentOut?.on ?? '')}</span>. It comes back only with the paper of that firm, photographed.</p>`;
    case 'waiting':
      return html`<p>Waits for <span class="told">${record.waiting?.part}</span>, promised for <span class="told">${dayText(record.waiting?.promised ?? '')}</span>.</p>`;
    case 'not-done': {
      const { reason, note } = record.notDone ?? { reason: 'declined' };
      return html`<p><b>Not done:</b> ${NOT_DONE[reason].toLowerCase()}${note ? html`; <span class="told">${note}</span>` : nothing}. ${signed}</p>`;
    }
    default:
      return html`${again}`;
  }
}

/** "Try 2 of 3." for the one that is about to be made. */
export function tries({ record, stage }: SeenItem, followUp: FollowUp, way = record?.way): string {
  const most = mostTries(followUp, way);
  const made = stage === 'stuck' ? 0 : (record?.tries ?? 0);
  if (most === undefined) return made > 0 ? `Try ${made + 1}.` : '';
  return `Try ${made + 1} of ${most}.`;
}

function tried({ record }: SeenItem, followUp: FollowUp): string {
  const most = mostTries(followUp, record?.way);
  const made = record?.tries ?? 0;
  if (made === 0) return '';
  return most === undefined ? `Tried ${made} ${made === 1 ? 'time' : 'times'}.` : `That was try ${made} of ${most}.`;
}

function mostTries(followUp: FollowUp, way: string | undefined): number | undefined {
  return followUp.ways.find(({ id }) => id === way)?.text.tries?.most;
}

/** What comes of it if it does not take now. */
export function ifItFails(item: SeenItem, followUp: FollowUp): string {
  const limit = followUp.ways.find(({ id }) => id === item.way)?.text.tries;
  if (!limit) return 'What was written down is kept; it can be started again.';
  const left = limit.most - (item.stage === 'stuck' ? 0 : (item.record?.tries ?? 0)) - 1;
  if (left <= 0) return `That is the last try. Then: ${sentence(capital(limit.then))}`;
  return `What was written down is kept. ${left === 1 ? 'One more try is' : `${left} more tries are`} left; then: ${sentence(limit.then)}`;
}
