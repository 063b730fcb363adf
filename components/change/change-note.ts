import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { key, sheet } from '../sheet/sheet.styles.ts';

/** The last change is to be taken back. */
export class Undone extends Event {
  static readonly type = 'lb-undone';
  constructor() {
    super(Undone.type, { bubbles: true, composed: true });
  }
}

/** What was told was read. */
export class Noted extends Event {
  static readonly type = 'lb-noted';
  constructor() {
    super(Noted.type, { bubbles: true, composed: true });
  }
}

/**
 * What the last answer changed on the sheet, along the lower edge so that nothing moves under the hand.
 * @fires lb-undone
 * @fires lb-noted
 */
@customElement('lb-change-note')
export class ChangeNote extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      :host { position: sticky; bottom: var(--timers, 0px); z-index: 5; }
      div.note { background: var(--paper); border-top: 4px solid var(--ink); border-bottom: 4px solid var(--ink); display: flex; flex-wrap: wrap; gap: 8px 16px; align-items: center; padding: 8px 16px; max-width: 1280px; margin: 0 auto; }
      .told { flex: 1 1 320px; line-height: 1.28; max-height: 7.8em; overflow: auto; }
      .told p + p { margin-top: 3px; }
      @media (max-width: 560px) { div.note { padding: 8px 10px; } .told { max-height: 5.2em; } .keys .key { flex: 1; } .keys { width: 100%; } }
      @media print { :host { display: none; } }
    `,
  ];

  @property({ attribute: false }) sentences: readonly string[] = [];
  /** Words on the key that takes it back; '' = it cannot be. */
  @property() undo = '';

  override render(): TemplateResult {
    return html`<div class="note" ?hidden=${this.sentences.length === 0}>
      <div class="told" role="status" tabindex="0" aria-label="What the last change brought">${this.sentences.map((text) => html`<p>${text}</p>`)}</div>
      <div class="keys">
        ${this.undo ? html`<button type="button" class="key" @click=${() => this.dispatchEvent(new Undone())}>${this.undo}</button>` : nothing}
        <button type="button" class="key" @click=${() => this.dispatchEvent(new Noted())}>Noted</button>
      </div>
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-change-note': ChangeNote;
  }
}
