import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Page } from '../../src/rulebook/page/page.ts';
import { PageFrame } from '../paper/page-frame.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { type Href, rulePage } from './page.ts';
import { reference } from './reference.styles.ts';

/** What the rulebook says of one thing, to read and to print. */
@customElement('lb-rule-page')
export class RulePage extends LitElement {
  static override styles = [sheet, key, reference, css`:host { background: var(--paper); }`];

  @property({ attribute: false }) page!: Page;
  /** Its number in the book; a part or a source has none. */
  @property() number = '';
  /** Version of the rulebook. */
  @property() rules = '';
  @property({ attribute: false }) href!: Href;
  protected readonly frame = new PageFrame(
    this,
    () => [OUTLINE, this.rules],
    () => [{ name: '', words: `The rulebook: ${[this.number, this.page.title].filter(Boolean).join(' ')}` }],
  );

  override render(): TemplateResult {
    return html`${rulePage(this.page, this.number, this.href)}`;
  }
}

/** Below every page of the book on paper. */
export const OUTLINE = "Outlines only; the maker's procedure, local codes and licensed practice rule.";

declare global {
  interface HTMLElementTagNameMap {
    'lb-rule-page': RulePage;
  }
}
