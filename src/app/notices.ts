import { html, nothing, type TemplateResult } from 'lit';
import type { Started } from './start.ts';

/** What stands above every leaf: clashes of two tablets, refusals, and what this browser cannot do. */
export function notices({ jobs, keep, planner }: Started): TemplateResult {
  return html`${[...jobs.clashes.values()].map(
    ({ ro, theirs }) => html`<div class="notice" role="alert">
        <p><b>${ro} was changed on another tablet too,</b> at ${new Date(theirs.updated).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' })}. One of the two sheets must go.</p>
        <div class="keys">
          <button class="key" @click=${() => jobs.settle(ro, 'ours')}>${jobs.get(ro) ? 'Keep the sheet of this tablet' : 'Strike it off all the same'}</button>
          <button class="key" @click=${() => jobs.settle(ro, 'theirs')}>Take the other sheet</button>
        </div>
      </div>`,
  )}
    ${[...jobs.refusals].map(([ro, why]) => html`<p class="notice" role="alert"><b>The server does not take ${ro}:</b> ${why}</p>`)}
    ${keep.keeps && !jobs.keepFails ? nothing : html`<p class="notice">This browser does not keep the sheets: close the page, and what has not reached the server is lost.</p>`}
    ${planner.inPage ? html`<p class="notice">${planner.inPage}</p>` : nothing}`;
}
