import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { type Stage, stageWord } from '../bolt/bolt.ts';
import '../bolt/bolt.ts';
import '../plate/plate.ts';
import { row } from '../route/route.styles.ts';
import { sheet } from '../sheet/sheet.styles.ts';

/**
 * One step on the route: plate, bolt, number, name, and what there is to say. A link that opens the step;
 * `opened` = the hand is here.
 */
@customElement('lb-step-row')
export class StepRow extends LitElement {
  static override styles = [
    sheet,
    row,
    css`
      a.t:hover .name { text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 3px; }
      :host([opened]) .t { background: var(--paint); color: var(--on-paint); border: 3px solid #12161a; padding: 6px 9px 6px 3px; }
      :host([opened]) lb-bolt { --ground: var(--paint); color: #12161a; border-radius: 50%; background: var(--paint); }
    `,
  ];

  @property({ type: Number }) number = 0;
  @property() name = '';
  @property() say = '';
  @property() href = '';
  @property() stage: Stage = 'open';
  @property({ type: Boolean }) safety = false;
  @property({ type: Boolean, reflect: true }) opened = false;
  @property({ type: Boolean, reflect: true }) last = false;

  override render(): TemplateResult {
    const words = html`<span class="name">${this.number}&ensp;${this.name}</span>
      <div class="say"><b>${stageWord(this.stage)}.</b> ${this.say}</div>`;
    return html`<div class="r ${this.safety ? 'plated' : ''}">
      <div class="m">${this.safety ? html`<lb-plate></lb-plate>` : ''}</div>
      <div class="k"><lb-bolt plain .stage=${this.stage} .safety=${this.safety}></lb-bolt></div>
      <a class="t" href=${this.href} aria-current=${this.opened ? 'step' : 'false'}>${words}</a>
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-step-row': StepRow;
  }
}
