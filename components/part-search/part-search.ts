import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';

/** The words in the field changed. */
export class Sought extends Event {
  static readonly type = 'lb-sought';
  constructor(readonly words: string) {
    super(Sought.type, { bubbles: true, composed: true });
  }
}

/** One of the hits was taken. */
export class Taken extends Event {
  static readonly type = 'lb-taken';
  constructor(readonly id: string) {
    super(Taken.type, { bubbles: true, composed: true });
  }
}

export interface Hit {
  readonly id: string;
  readonly title: string;
  /** Other names, or what there is to say. */
  readonly note: string;
}

/**
 * A field that searches as one types, and its hits as keys. Enter takes the first.
 * @fires lb-sought
 * @fires lb-taken
 */
@customElement('lb-part-search')
export class PartSearch extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      .hit { display: grid; grid-template-columns: minmax(0, 1fr); justify-items: start; gap: 2px; width: 100%; text-align: left; font-size: var(--t-step); }
      .hit small { font-size: var(--t-fine); font-weight: 450; color: var(--ink-2); line-height: 1.2; }
      ul { display: grid; gap: 6px; margin-top: 8px; }
      p { margin-top: 8px; }
    `,
  ];

  @property() label = '';
  @property() words = '';
  @property() placeholder = '';
  @property({ attribute: false }) hits: readonly Hit[] = [];
  /** Said when there are words and no hit. */
  @property() nothing = 'Nothing by that name.';
  /** Hits are only read, not taken. */
  @property({ type: Boolean }) readonly = false;
  @query('input') private readonly field!: HTMLInputElement | null;

  override focus(): void {
    this.field?.focus();
  }

  override render(): TemplateResult {
    return html`<form role="search" @submit=${this.takeFirst}>
        <label><span class="label">${this.label}</span>
          <input type="search" .value=${this.words} placeholder=${this.placeholder} autocomplete="off" autocapitalize="off" spellcheck="false" @input=${this.seek} />
        </label>
      </form>
      <div aria-live="polite">${this.words.trim() && this.hits.length === 0 ? html`<p>${this.nothing}</p>` : nothing}</div>
      <ul>
        ${this.hits.map((hit) => html`<li>${this.readonly ? html`<p><b>${hit.title}.</b> ${hit.note}</p>` : this.hit(hit)}</li>`)}
      </ul>`;
  }

  private hit({ id, title, note }: Hit): TemplateResult {
    return html`<button type="button" class="key hit" @click=${() => this.dispatchEvent(new Taken(id))}>${title}${note ? html`<small>${note}</small>` : ''}</button>`;
  }

  private readonly seek = (): void => {
    this.dispatchEvent(new Sought(this.field?.value ?? ''));
  };

  private readonly takeFirst = (event: Event): void => {
    event.preventDefault();
    const first = this.hits[0];
    if (first && !this.readonly) this.dispatchEvent(new Taken(first.id));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-part-search': PartSearch;
  }
}
