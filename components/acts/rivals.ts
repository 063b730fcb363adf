import { html, nothing, type TemplateResult } from 'lit';
import type { SeenItem } from '../../src/job/sight.ts';
import type { Mark } from '../../src/job/state.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import { clock } from '../sheet/clock.ts';
import { capital } from '../sheet/time.ts';
import { valueText } from './reading-row.ts';

/** Two answers to one safety item, side by side: the foreman says which one stands. */
export function rivals(
  { record, asked }: SeenItem,
  foreman: boolean,
  now: number,
  choose: (event: string) => void,
): TemplateResult | typeof nothing {
  const { took, rival, values } = record ?? {};
  if (!took || !rival || !values) return nothing;
  const answer = (mark: Mark, held: ReadonlyMap<string, ReadingValue>) =>
    html`<div class="answer" role="group" aria-label=${`Answer of ${mark.by}`}>
      <p class="told">${mark.by}, ${clock(mark.at, now)}</p>
      ${asked.map(({ key, label, unit }) => {
        const value = held.get(key);
        return value ? html`<p>${capital(label)}: <span class="told">${valueText(value, unit)}</span></p>` : nothing;
      })}
      ${foreman ? html`<button type="button" class="key main" @click=${() => choose(mark.event)}>This one stands</button>` : nothing}
    </div>`;
  return html`<section class="then"><p class="strong"><b>Two answers.</b> ${foreman ? 'Say which one stands; look at the car if in doubt.' : 'The foreman says which one stands.'}</p>
    <div class="answers">${answer(took, values)}${answer(rival, rival.values)}</div></section>`;
}
