import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { row } from '../route/route.styles.ts';
import { minutesText, sentence } from '../sheet/time.ts';
import { sheet } from '../sheet/sheet.styles.ts';

/** The tear line between two stops: what to change on the car, and about how long that takes. */
@customElement('lb-tear-line')
export class TearLine extends LitElement {
  static override styles = [
    sheet,
    row,
    css`
      .r { min-height: 48px; align-items: center; }
      .r::after { content: ''; position: absolute; left: 0; right: 0; top: 50%; border-top: 3px dashed var(--edge); z-index: 0; }
      .k { padding: 0; }
      .k svg { width: 44px; height: 32px; }
      .t { min-height: 0; padding: 8px 0 8px 6px; font-weight: 650; line-height: 1.25; position: relative; z-index: 1; }
      .t > span { display: inline-block; background: var(--paper); padding: 2px 10px 2px 0; }
    `,
  ];

  /** What to do, one clause each. */
  @property({ attribute: false }) changes: readonly string[] = [];
  @property({ type: Number }) minutes = 0;

  override render(): TemplateResult {
    const time = this.minutes > 0 ? html` <span class="pen">${minutesText(this.minutes)}</span>` : '';
    return html`<div class="r">
      <div class="k">
        <svg viewBox="0 0 44 32" aria-hidden="true">
          <rect x="10" y="3" width="24" height="26" fill="var(--paper)" />
          <path d="M12 12L32 5M12 27L32 20" stroke="currentColor" stroke-width="4" />
        </svg>
      </div>
      <div class="t"><span><span class="unseen">Change the car: </span>${this.changes.map(sentence).join(' ')}${time}</span></div>
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-tear-line': TearLine;
  }
}
