import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { row } from '../route/route.styles.ts';
import { sheet } from '../sheet/sheet.styles.ts';
import './setup-glyphs.ts';

/** A lettered stop: one set-up in which several steps are done. `glyphs` = what else the car is like there. */
@customElement('lb-stop-row')
export class StopRow extends LitElement {
  static override styles = [
    sheet,
    row,
    css`
      .r { min-height: 60px; align-items: center; }
      .k { padding: 0; }
      .t { padding-top: 6px; padding-bottom: 6px; min-height: 0; }
      .mark { width: 46px; height: 46px; border: 3.5px solid var(--ink); background: var(--paper); font: 800 1.75rem/39px var(--print); text-align: center; }
      h2 { display: inline; }
      .time { font: 600 1.125rem/1 var(--pen); letter-spacing: -0.02em; white-space: nowrap; margin-left: 8px; }
    `,
  ];

  @property() letter = '';
  @property() name = '';
  @property() time = '';
  /** Dimension and value, for drawings, with its wording. */
  @property({ attribute: false }) setup: readonly { readonly id: string; readonly text: string }[] = [];

  override render(): TemplateResult {
    return html`<div class="r">
      <div class="k"><div class="mark" aria-hidden="true">${this.letter}</div></div>
      <div class="t">
        <h2><span class="unseen">Stop ${this.letter}: </span>${this.name}</h2>
        <span class="time">${this.time}</span>
        <lb-setup-glyphs .setup=${this.setup}></lb-setup-glyphs>
      </div>
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-stop-row': StopRow;
  }
}
