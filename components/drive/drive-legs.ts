import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { row } from '../route/route.styles.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, minutesText } from '../sheet/time.ts';
import type { CardLeg } from './legs.ts';

/** One drive on the route: its legs in short, what each serves, and the way to the card that is read out. */
@customElement('lb-drive-legs')
export class DriveLegs extends LitElement {
  static override styles = [
    sheet,
    key,
    row,
    css`
      .t { min-height: 0; padding-top: 2px; }
      li { display: grid; grid-template-columns: 30px minmax(0, 1fr); line-height: 1.26; padding: 4px 0; }
      li > b { font-family: var(--pen); }
      .key { margin: 8px 0 4px; }
    `,
  ];

  @property({ attribute: false }) legs: readonly CardLeg[] = [];
  @property({ type: Number }) minutes = 0;
  /** Minutes that sharing saves. */
  @property({ type: Number }) saved = 0;
  @property() href = '';
  /** Nobody here drives it: it comes about on the owner's road. */
  @property({ type: Boolean }) owner = false;

  override render(): TemplateResult {
    const { legs, minutes, saved } = this;
    const spared = saved >= 1 ? `, ${minutesText(saved)} less than one by one` : '';
    return html`<div class="r">
      <div class="t">
        <p><b>${legs.length === 1 ? 'One drive in one leg' : `One drive in ${legs.length} legs`}</b>, ${minutes > 0 ? `${minutesText(minutes)} at least${spared}` : 'no fixed time'}${this.owner ? ', ends with the owner' : ''}. The driver never handles the tablet: a passenger reads.</p>
        <ol>
          ${legs.map(({ card, serves }, i) => html`<li><b>${i + 1}</b><span>${capital(card.join(', '))}. <span class="soft">For ${serves.map(({ number }) => number).join(', ')}.</span></span></li>`)}
        </ol>
        <a class="key" href=${this.href}>Route card for the passenger</a>
      </div>
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-drive-legs': DriveLegs;
  }
}
