import { html, nothing, type TemplateResult } from 'lit';
import type { NotTaken } from './not-taken.ts';
import type { AtTablet } from './session.ts';
import type { Started } from './start.ts';

/** What stands above every leaf: clashes of two tablets, refusals, and what this browser cannot do. */
export function notices({ jobs, records, keep, planner, offline }: Started, tablet: AtTablet): TemplateResult {
  const others = records.waitingFor();
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
    ${records.notTaken.map((one) => notTaken(one, tablet.session?.person.name ?? '', () => records.read(one)))}
    ${others.length > 0 ? html`<p class="notice">What ${others.join(' and ')} said here without a signal is sent as soon as ${others.length > 1 ? 'they sign' : 'he or she signs'} in on this tablet.</p>` : nothing}
    ${tablet.offline ? html`<p class="notice" role="status">No signal. Go on: what you say stays on this tablet and is sent later. The final check and the release need the server.</p>` : nothing}
    ${keep.keeps && !jobs.keepFails && !records.keepFails ? nothing : html`<p class="notice">This browser does not keep the sheets: close the page, and what has not reached the server is lost.</p>`}
    ${offline.newer ? html`<div class="notice screen" role="status"><p>A newer page is here. It waits until you take it, and no open job changes its rules by it.</p><div class="keys"><button class="key" @click=${() => offline.takeOver()}>Take the newer page</button></div></div>` : nothing}
    ${planner.inPage ? html`<p class="notice">${planner.inPage}</p>` : nothing}`;
}

/** Told to whoever said it: nobody else can take it away. */
function notTaken({ ro, by, at, says }: NotTaken, person: string, read: () => void): TemplateResult {
  const said =
    at === ''
      ? ''
      : `, said ${new Date(at).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' })} by ${by}`;
  if (by !== person)
    return html`<p class="notice"><b>Not taken on ${ro}${said}:</b> ${says.join(' ')} It stays here until ${by} has read it.</p>`;
  return html`<div class="notice" role="alert">
    <p><b>Not taken on ${ro}${said}:</b> ${says.join(' ')}</p>
    <div class="keys"><button class="key" @click=${read}>I have read it</button></div>
  </div>`;
}
