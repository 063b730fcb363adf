import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { blank, key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { findCodes } from '../../scan/find-codes.ts';

/** Codes read before the work, as recognised. */
export class CodesWritten extends Event {
  static readonly type = 'lb-codes-written';
  constructor(readonly codes: readonly string[]) {
    super(CodesWritten.type, { bubbles: true, composed: true });
  }
}

/**
 * A field for the codes that the car came with: typed, or a whole report pasted. What is recognised stands below it;
 * what only may be a code is taken by a tap, never by itself.
 * @fires lb-codes-written
 */
@customElement('lb-codes-field')
export class CodesField extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      form { display: flex; flex-wrap: wrap; gap: 8px; align-items: flex-end; }
      label { flex: 1 1 320px; }
      textarea { appearance: none; font: 650 var(--t-step)/1.3 var(--pen); color: var(--ink); background: var(--wash); border: 2px solid var(--touch); border-radius: 4px; min-height: 56px; width: 100%; padding: 10px 12px; margin: 0; display: block; resize: vertical; }
      textarea::placeholder { color: var(--ink-2); font-weight: 450; }
      .found { margin-top: 8px; }
      .keys { margin: 6px 0; }
      .key .pen { font-weight: 700; }
    `,
  ];

  @property({ attribute: false }) codes: readonly string[] = [];
  @state() private text = '';
  @query('textarea') private readonly field!: HTMLTextAreaElement;

  override render(): TemplateResult {
    const found = findCodes(this.text);
    const fresh = found.codes.map(({ code }) => code).filter((code) => !this.codes.includes(code));
    return html`<form @submit=${this.write}>
        <label><span class="label">Codes on arrival, typed or a report pasted</span>
          <textarea rows="1" .value=${this.text} placeholder="P0420 C1234 ..." autocomplete="off" autocapitalize="characters" spellcheck="false" @input=${() => (this.text = this.field.value)}></textarea>
        </label>
        <button class="key">Write them down</button>
      </form>
      <div class="found" aria-live="polite">${this.recognised(fresh)}</div>
      ${found.maybe.length > 0 ? html`<p class="found">Perhaps a code; tap it if so:</p><div class="keys">${found.maybe.slice(0, 6).map(({ typed, code }) => html`<button type="button" class="key" @click=${() => this.tell([...this.codes, code])}><span class="pen">${typed}</span> is <span class="pen">${code}</span></button>`)}</div>` : nothing}
      ${this.codes.length > 0 ? html`<p class="found"><b>Written down.</b> Tap one to strike it.</p><div class="keys" role="group" aria-label="Codes written down">${this.codes.map((code) => html`<button type="button" class="key" aria-label="Strike ${code}" @click=${() => this.tell(this.codes.filter((other) => other !== code))}><span class="pen">${code}</span></button>`)}</div>` : nothing}`;
  }

  private recognised(fresh: readonly string[]): TemplateResult | typeof nothing {
    if (this.text.trim() === '') return nothing;
    if (fresh.length === 0) return html`<p>No code in it that is not written down already.</p>`;
    return html`<p><b>Recognised:</b> <span class="pen">${fresh.join(', ')}</span></p>`;
  }

  private readonly write = (event: Event): void => {
    event.preventDefault();
    const fresh = findCodes(this.text).codes.map(({ code }) => code);
    if (fresh.length === 0) return;
    this.text = '';
    this.tell([...new Set([...this.codes, ...fresh])]);
  };

  private tell(codes: readonly string[]): void {
    this.dispatchEvent(new CodesWritten([...new Set(codes)]));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-codes-field': CodesField;
  }
}
