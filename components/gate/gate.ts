import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Person } from '../../src/job/people.ts';
import type { Refusal } from '../../src/job/refusal.ts';
import type { SeenItem } from '../../src/job/sight.ts';
import type { SafetyLine } from '../../src/job/unfinished.ts';
import '../bolt/bolt.ts';
import '../plate/plate.ts';
import { Said } from '../record/said.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { gate } from './gate.styles.ts';
import { GoTo, targets } from './go-to.ts';
import './leave-unfinished.ts';
import { byTheClock, countWord, headAndRest } from './says.ts';
import './settle-form.ts';
import type { HereSettled, SettleForm } from './settle-form.ts';

/**
 * What holds the car, each as a sentence with the way to what settles it; nothing held: it may be released.
 * @fires lb-go-to
 * @fires lb-said
 * @fires lb-photo-taken
 */
@customElement('lb-gate')
export class Gate extends LitElement {
  static override styles = [sheet, key, gate];

  @property() ro = '';
  @property({ attribute: false }) refusals: readonly Refusal[] = [];
  /** Of the job, so that a refusal shows its mark. */
  @property({ attribute: false }) items: readonly SeenItem[] = [];
  /** What the customer signs if it leaves as it is. */
  @property({ attribute: false }) lines: readonly SafetyLine[] = [];
  /** Whoever is signed in. */
  @property({ attribute: false }) person: Person | undefined;
  /** In reach; without it no car goes. */
  @property({ type: Boolean }) server = false;
  @state() private opened = '';
  @state() private leaving = false;

  override render(): TemplateResult {
    const { refusals, person } = this;
    if (this.leaving && refusals.length > 0 && person)
      return html`<div class="band"><lb-leave-unfinished .ro=${this.ro} .foreman=${person.name} .lines=${this.lines} @lb-back=${() => (this.leaving = false)}></lb-leave-unfinished></div>`;
    const unchecked = refusals.filter(({ rule }) => rule === 'unchecked');
    const others = refusals.filter(({ rule }) => rule !== 'unchecked');
    const sorted = [...others.filter(({ safety }) => safety), ...others.filter(({ safety }) => !safety)];
    return html`<section class="band" aria-labelledby="says">
      <div role="status"><h2 id="says" class="head">${this.says()}</h2></div>
      <ul>
        ${sorted.map((refusal) => html`<li class="refusal">${this.refusal(refusal)}</li>`)}
        ${unchecked.length > 0 ? html`<li class="refusal">${this.unchecked(unchecked)}</li>` : nothing}
      </ul>
      ${this.ending()}
    </section>`;
  }

  private says(): string {
    const { ro, refusals } = this;
    if (refusals.length === 0) return `Nothing holds ${ro}.`;
    return `${ro} stays. ${countWord(refusals.length)} ${refusals.length === 1 ? 'thing holds' : 'things hold'} it.`;
  }

  private refusal(refusal: Refusal): TemplateResult {
    const [head, rest] = headAndRest(byTheClock(refusal.text, Date.now()));
    const stage = this.items.find(({ id }) => id === refusal.item.split('/')[0])?.stage ?? 'open';
    const id = `${refusal.rule}/${refusal.item}`;
    const here = refusal.settle.find((one) => this.isHere(one.type)) as HereSettled | undefined;
    return html`<lb-bolt plain .stage=${stage} .safety=${refusal.safety}></lb-bolt>
      <div>
        ${refusal.safety ? html`<div class="whole"><lb-plate flat></lb-plate></div>` : nothing}
        <p>${head ? html`<b>${head}</b> ` : ''}${rest}</p>
        <div class="keys">
          ${targets(refusal, this.items).map(({ leaf, step, text }) => html`<button type="button" class="key" @click=${() => this.go(leaf, step)}>${text}<span class="unseen">: ${head || rest}</span></button>`)}
          ${here ? html`<button type="button" class="key" aria-expanded=${this.opened === id ? 'true' : 'false'} @click=${() => this.open(id)}>${here.type === 'explained' ? 'Explain it' : 'Settle it with a photo'}<span class="unseen">: ${head || rest}</span></button>` : nothing}
        </div>
        ${here && this.opened === id ? html`<lb-settle-form class="whole" .settle=${here}></lb-settle-form>` : nothing}
      </div>`;
  }

  /** Only a foreman rules out; whoever works on cars may explain, or show that a thing has ended. */
  private isHere(type: string): boolean {
    const roles = this.person?.roles ?? [];
    if (type === 'ruled-out') return roles.includes('foreman');
    return (type === 'explained' || type === 'state-ended') && roles.some((r) => r === 'foreman' || r === 'technician');
  }

  private unchecked(refusals: readonly Refusal[]): TemplateResult {
    return html`<lb-bolt plain safety></lb-bolt>
      <div>
        <div class="whole"><lb-plate flat></lb-plate></div>
        <p><b>${refusals.length === 1 ? 'One item is' : `${countWord(refusals.length)} items are`} not checked.</b> Each is seen by somebody who had no hand in it.</p>
        <div class="keys">
          ${refusals.map(({ item, text }) => html`<button type="button" class="key" @click=${() => this.go('check', item)}>${text.split(' is not checked')[0]}</button>`)}
        </div>
      </div>`;
  }

  private ending(): TemplateResult {
    const { refusals, person, server } = this;
    const foreman = person?.roles.includes('foreman') ?? false;
    const barred = foreman ? (server ? '' : 'No signal: only the server lets a car go.') : 'A foreman lets it go.';
    if (refusals.length === 0) return this.release(barred);
    return html`<div class="mains">
      <button type="button" class="key main" aria-disabled="true">Release: ${countWord(refusals.length).toLowerCase()} ${refusals.length === 1 ? 'holds' : 'hold'} it</button>
      <button type="button" class="key main" aria-disabled=${barred ? 'true' : 'false'} @click=${() => barred || ((this.leaving = true))}>Leave it unfinished</button>
      <p class="soft">${barred || 'Two signatures, and the paper says NOT FINISHED.'}</p>
    </div>`;
  }

  private release(barred: string): TemplateResult {
    return html`<div class="mains">
      <button type="button" class="key main ${barred ? '' : 'full'}" aria-disabled=${barred ? 'true' : 'false'} @click=${() => barred || this.dispatchEvent(new Said([{ type: 'released' }]))}>Release ${this.ro}</button>
      <p class="soft">${barred || 'With your name. Then the hand-over is printed.'}</p>
    </div>`;
  }

  private go(leaf: GoTo['leaf'], step: string | undefined): void {
    this.dispatchEvent(new GoTo(leaf, step));
  }

  private open(id: string): void {
    this.opened = this.opened === id ? '' : id;
    void this.updateComplete.then(async () => {
      const form = this.renderRoot.querySelector<SettleForm>('lb-settle-form');
      await form?.updateComplete;
      form?.focus();
    });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-gate': Gate;
  }
}
