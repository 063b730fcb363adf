import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { blank, key, sheet } from '../../../components/sheet/sheet.styles.ts';

/** A repair order is to be written up under this number. */
export class JobBegun extends Event {
  static readonly type = 'lb-job-begun';
  constructor(readonly ro: string) {
    super(JobBegun.type, { bubbles: true, composed: true });
  }
}

/**
 * Asks for the RO number, which names the sheet from then on.
 * @fires lb-job-begun
 */
@customElement('lb-new-job')
export class NewJob extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      form { padding: 20px 16px; display: grid; gap: 14px; max-width: 520px; }
      input { font-size: 2rem; min-height: var(--tap-main); }
    `,
  ];

  /** Numbers that have a sheet already. */
  @property({ attribute: false }) taken: readonly string[] = [];
  @state() private ro = '';
  @query('input') private readonly field!: HTMLInputElement;

  override firstUpdated(): void {
    this.field.focus();
  }

  override render(): TemplateResult {
    const known = this.taken.includes(this.ro.trim());
    return html`<form @submit=${this.begin}>
      <label><span class="label">Number of the repair order</span>
        <input .value=${this.ro} maxlength="40" required autocomplete="off" @input=${() => (this.ro = this.field.value)} />
      </label>
      ${known ? html`<p>${this.ro.trim()} has a sheet already; it will be opened.</p>` : nothing}
      <button class="key main full">${known ? 'Open it' : 'Write it up'}</button>
    </form>`;
  }

  private readonly begin = (event: Event): void => {
    event.preventDefault();
    const ro = this.ro.trim();
    if (ro) this.dispatchEvent(new JobBegun(ro));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-new-job': NewJob;
  }
}
