import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement } from 'lit/decorators.js';

/** The last bolt, tight. */
@customElement('lb-brand-mark')
export class BrandMark extends LitElement {
  static override styles = css`:host { display: inline-block; } svg { display: block; width: 100%; height: 100%; }`;

  override render(): TemplateResult {
    return html`<svg viewBox="0 0 48 48" aria-hidden="true">
      <polygon points="37,24 30.5,35.26 17.5,35.26 11,24 17.5,12.74 30.5,12.74" fill="currentColor" stroke="currentColor" stroke-width="3.4" transform="translate(24 24) scale(1.28) translate(-24 -24)" />
      <path d="M12.5 30.6L37.6 16.1" stroke="var(--ground, var(--paper))" stroke-width="5" />
      <path d="M38.2 15.8L48 10.1" stroke="currentColor" stroke-width="5" />
    </svg>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-brand-mark': BrandMark;
  }
}
