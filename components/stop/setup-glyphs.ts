import { css, html, LitElement, nothing, svg, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { sheet } from '../sheet/sheet.styles.ts';

/** What the car is like at a stop, each with its words; the drawing only repeats them. */
@customElement('lb-setup-glyphs')
export class SetupGlyphs extends LitElement {
  static override styles = [
    sheet,
    css`
      ul { display: flex; flex-wrap: wrap; gap: 2px 14px; align-items: center; font-size: var(--t-fine); line-height: 1.2; color: var(--ink-2); margin-top: 3px; }
      li { display: inline-flex; gap: 5px; align-items: center; }
      svg { width: 26px; height: 26px; color: var(--ink); fill: none; stroke: currentColor; stroke-width: 2.6; }
    `,
  ];

  /** `id` is "dimension:value". */
  @property({ attribute: false }) setup: readonly { readonly id: string; readonly text: string }[] = [];

  override render(): TemplateResult | typeof nothing {
    if (this.setup.length === 0) return nothing;
    return html`<ul>
      ${this.setup.map(({ id, text }) => html`<li>${drawing(id)}${text}</li>`)}
    </ul>`;
  }
}

function drawing(id: string): TemplateResult | typeof nothing {
  const lines = Object.hasOwn(DRAWINGS, id) ? DRAWINGS[id] : undefined;
  return lines ? html`<svg viewBox="0 0 32 32" aria-hidden="true">${lines}</svg>` : nothing;
}

/** Set-ups that have a drawing, as "dimension:value". */
export function setupDrawings(): string[] {
  return Object.keys(DRAWINGS);
}

const key = svg`<circle cx="16" cy="16" r="11" />`;
const DRAWINGS: Readonly<Record<string, TemplateResult<2>>> = {
  'ignition:off': svg`${key}<path d="M16 21V5" stroke-width="4" />`,
  'ignition:on': svg`${key}<path d="M12.5 19.5L24 8" stroke-width="4" />`,
  'ignition:running': svg`${key}<path d="M11 16h16" stroke-width="4" />`,
  'supply:charger': svg`<rect x="3" y="13" width="18" height="14" /><path d="M7 13V9M17 13V9M21 20h5V6M22 9l4-4 4 4" />`,
  'supply:own': svg`<rect x="5" y="11" width="22" height="16" /><path d="M10 11V7M22 11V7M9 17h5M18 17h5M20.5 14.5v5" />`,
  'heat:warm': svg`<path d="M16 4v17" stroke-width="5.5" /><circle cx="16" cy="24" r="4.5" fill="currentColor" /><path d="M22 8h5M22 13h5" />`,
  'heat:cold': svg`<path d="M16 4v17" /><circle cx="16" cy="24" r="4.5" /><path d="M22 8h5M22 13h5" />`,
  'wheels:straight': svg`<rect x="8" y="4" width="5" height="11" /><rect x="19" y="4" width="5" height="11" /><path d="M16 29V18" /><path d="M12 22l4-4 4 4" />`,
  'place:lift': svg`<rect x="9" y="4" width="14" height="9" rx="3" /><path d="M4 17h24M9 17v11M23 17v11M5 28h8M19 28h8" />`,
};

declare global {
  interface HTMLElementTagNameMap {
    'lb-setup-glyphs': SetupGlyphs;
  }
}
