import { html, nothing, type TemplateResult } from 'lit';
import type { CauseNode } from '../../src/checklist.ts';
import { sentence } from '../sheet/time.ts';
import type { Blank } from './readings.ts';

/** Values to write down, under a heading. */
export function blankList(title: string, list: readonly Blank[]): TemplateResult | typeof nothing {
  if (list.length === 0) return nothing;
  return html`<section>
    <h3>${title}</h3>
    <ul>
      ${list.map(
        ({ label, unit, limits, choices }) => html`<li class="blank">
          <span>${label}${[...limits, ...(choices.length > 0 ? [choices.join(' / ')] : [])].map((limit) => html`<span class="limit">${limit}</span>`)}</span>
          <span class="unit">${unit === 'deg' ? '°' : unit}</span>
        </li>`,
      )}
    </ul>
  </section>`;
}

/** Whether there is more to unfold than the first line tells. */
export function hasDepth(causes: readonly CauseNode[]): boolean {
  return causes.some((cause) => cause.causes.length > 0);
}

export function causeTree(causes: readonly CauseNode[]): TemplateResult {
  return html`<ul>${causes.map((cause) => html`<li>${sentence(cause.text)}${cause.causes.length > 0 ? causeTree(cause.causes) : nothing}</li>`)}</ul>`;
}
