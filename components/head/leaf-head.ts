import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { key, sheet } from '../sheet/sheet.styles.ts';
import './brand-mark.ts';

export interface Turn {
  readonly text: string;
  readonly href: string;
}

/** Head of a leaf: whose job, which leaf of how many, and the keys that turn it. The default slot says how far it is. */
@customElement('lb-leaf-head')
export class LeafHead extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      header { display: flex; align-items: center; gap: 8px 16px; padding: 8px 16px; border-bottom: 4px solid var(--ink); min-height: 68px; flex-wrap: wrap; background: var(--paper); }
      .brand { display: flex; align-items: center; gap: 8px; font-weight: 800; letter-spacing: -0.02em; line-height: 1; color: var(--ink); text-decoration: none; min-height: 48px; min-width: 48px; }
      lb-brand-mark { width: 40px; height: 40px; }
      .ro { font: 700 1.75rem/1 var(--pen); letter-spacing: -0.03em; overflow-wrap: anywhere; }
      .car { line-height: 1.2; flex: 1 1 200px; min-width: 0; }
      h1 { font-size: var(--t-body); font-weight: 700; line-height: 1.2; }
      .bay h1 { font-size: var(--t-stop); font-weight: 800; letter-spacing: -0.02em; }
      .far { font-weight: 700; text-align: right; line-height: 1.2; }
      nav { display: flex; gap: 8px; flex-wrap: wrap; }
      @media (max-width: 560px) {
        header { gap: 6px 10px; padding: 6px 10px; }
        .brand span { display: none; }
        .car { flex-basis: 120px; font-size: var(--t-fine); }
        .far { text-align: left; }
        nav { width: 100%; }
        nav .key { flex: 1; }
      }
      @media print { header { display: none; } }
    `,
  ];

  @property() ro = '';
  @property() name = '';
  /** "leaf 2 of 4"; empty on the bay sheet. */
  @property() leaf = '';
  @property() car = '';
  @property({ attribute: false }) back: Turn | undefined;
  @property({ attribute: false }) on: Turn | undefined;

  override render(): TemplateResult {
    return html`<header class=${this.ro ? '' : 'bay'}>
      <a class="brand" href="#/" aria-label="Last Bolt, back to the bay sheet"><lb-brand-mark></lb-brand-mark><span>Last<br />Bolt</span></a>
      ${this.ro ? html`<div class="ro"><span class="unseen">Repair order </span>${this.ro}</div>` : nothing}
      <div class="car"><h1>${this.name}${this.leaf ? `, ${this.leaf}` : ''}</h1>${this.car}</div>
      <div class="far"><slot></slot></div>
      ${
        this.back || this.on
          ? html`<nav aria-label="Leaves">
            ${this.back ? html`<a class="key" href=${this.back.href}><span aria-hidden="true">‹</span>${this.back.text}</a>` : nothing}
            ${this.on ? html`<a class="key" href=${this.on.href}>${this.on.text}<span aria-hidden="true">›</span></a>` : nothing}
          </nav>`
          : nothing
      }
    </header>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-leaf-head': LeafHead;
  }
}
