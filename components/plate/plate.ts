import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';

/**
 * The pointed plate of a safety item. On a phone it stands upright in the margin, unless `flat`.
 * `count` above 1 tells how many. Reads as "safety item".
 */
@customElement('lb-plate')
export class Plate extends LitElement {
  static override styles = css`
    :host { display: inline-block; }
    span {
      display: block; background: var(--ink); color: var(--paper); font: 800 1rem / 30px var(--print); letter-spacing: 0.02em;
      height: 30px; padding: 0 15px 0 8px; white-space: nowrap;
      clip-path: polygon(0 0, calc(100% - 11px) 0, 100% 50%, calc(100% - 11px) 100%, 0 100%);
    }
    @media (max-width: 560px) {
      :host(:not([flat])) span {
        writing-mode: vertical-rl; height: auto; width: 26px; line-height: 26px; padding: 6px 0 14px;
        clip-path: polygon(0 0, 100% 0, 100% calc(100% - 10px), 50% 100%, 0 calc(100% - 10px));
      }
    }
    @media print {
      span { font-size: 8pt; line-height: 4.4mm; height: 4.4mm; padding: 0 9px 0 5px; clip-path: polygon(0 0, calc(100% - 6px) 0, 100% 50%, calc(100% - 6px) 100%, 0 100%); }
    }
  `;

  @property({ type: Boolean, reflect: true }) flat = false;
  @property({ type: Number }) count = 1;

  override render(): TemplateResult {
    return html`<span>SAFETY${this.count > 1 ? html` ${this.count}` : ''}</span>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-plate': Plate;
  }
}
