import '../head/brand-mark.ts';
import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { PageFrame } from '../paper/page-frame.ts';
import { sheet } from '../sheet/sheet.styles.ts';
import { momentText } from './moment.ts';
import { squareCode } from './square-code.ts';

/** Head of a leaf that goes on paper as it is; on screen the leaf has its own. */
@customElement('lb-paper-head')
export class PaperHead extends LitElement {
  static override styles = [
    sheet,
    css`
      :host { display: none; color: #000; }
      header { display: grid; grid-template-columns: 44px minmax(0, 1fr) auto 64px; gap: 0 12px; align-items: center; border-bottom: 3px solid #000; padding: 0 0 8px; margin-bottom: 8px; font-size: 10pt; line-height: 1.25; }
      lb-brand-mark { width: 44px; height: 44px; }
      .title { font-size: 16pt; font-weight: 800; letter-spacing: -0.02em; }
      .right { text-align: right; }
      .ro { font: 700 18pt/1 var(--pen); }
      .qr { width: 64px; height: 64px; }
      @media print { :host { display: block; } }
    `,
  ];

  @property() name = '';
  @property() ro = '';
  @property() car = '';
  @property() vin = '';
  @property() shop = '';
  /** Of the record; its last twelve characters are printed. */
  @property() hash = '';
  /** Version of the rulebook. */
  @property() rules = '';
  protected readonly frame = new PageFrame(this, () => [
    [this.ro, this.vin, this.shop].filter(Boolean).join(' · '),
    this.rules,
  ]);

  override render(): TemplateResult {
    return html`<header aria-hidden="true">
      <lb-brand-mark></lb-brand-mark>
      <div><p class="title">${this.name}</p>${this.car}<br /><span class="pen">${this.vin || 'VIN not written'}</span></div>
      <div class="right"><p class="ro">${this.ro}</p>Printed ${momentText(Date.now())}<br />${this.hash ? html`record ends <span class="pen">${endOf(this.hash)}</span>` : 'not on the server yet'}</div>
      ${squareCode(this.ro)}
    </header>`;
  }
}

/** The last twelve characters of a chain, as they are read out. */
export function endOf(hash: string): string {
  return hash.slice(-12).replaceAll(/(.{4})(?=.)/g, '$1 ');
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-paper-head': PaperHead;
  }
}
