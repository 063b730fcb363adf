import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { blank, key, sheet } from '../../../components/sheet/sheet.styles.ts';

/** A sheet gets another number. */
export class JobRenumbered extends Event {
  static readonly type = 'lb-job-renumbered';
  constructor(
    readonly ro: string,
    readonly to: string,
  ) {
    super(JobRenumbered.type, { bubbles: true, composed: true });
  }
}

/** A sheet is taken away. */
export class JobStruck extends Event {
  static readonly type = 'lb-job-struck';
  constructor(readonly ro: string) {
    super(JobStruck.type, { bubbles: true, composed: true });
  }
}

/**
 * What can be done with a whole sheet: another number, or struck off, which is asked once more.
 * @fires lb-job-renumbered
 * @fires lb-job-struck
 */
@customElement('lb-job-keys')
export class JobKeys extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      form { display: flex; flex-wrap: wrap; gap: 8px; align-items: flex-end; margin-bottom: 10px; }
      label { flex: 0 1 280px; }
      p { margin-bottom: 8px; line-height: 1.3; }
    `,
  ];

  @property() ro = '';
  /** Numbers that have a sheet already. */
  @property({ attribute: false }) taken: readonly string[] = [];
  @state() private asking: 'nothing' | 'number' | 'strike' = 'nothing';
  @state() private wrong = '';

  override render(): TemplateResult {
    if (this.asking === 'number') return this.number();
    if (this.asking === 'strike') return this.strike();
    return html`<div class="keys">
      <button type="button" class="key" @click=${() => this.ask('number')}>Change the RO number</button>
      <button type="button" class="key" @click=${() => this.ask('strike')}>Strike the sheet off</button>
    </div>`;
  }

  private ask(what: JobKeys['asking']): void {
    this.asking = what;
    this.wrong = '';
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('input, button')?.focus());
  }

  private number(): TemplateResult {
    return html`<form @submit=${this.renumber}>
      <label><span class="label">Right number of the repair order</span><input name="ro" .value=${this.ro} maxlength="40" required autocomplete="off" /></label>
      <button class="key full">Write it over ${this.ro}</button>
      <button type="button" class="key" @click=${() => this.ask('nothing')}>Leave it</button>
    </form>
    <div role="alert">${this.wrong ? html`<p><b>${this.wrong}</b></p>` : nothing}</div>`;
  }

  private strike(): TemplateResult {
    return html`<p role="alert"><b>Strike ${this.ro} off?</b> The sheet goes from every tablet and from the server. Right after, it can still be put back.</p>
      <div class="keys">
        <button type="button" class="key" @click=${() => this.ask('nothing')}>Keep it</button>
        <button type="button" class="key" @click=${() => this.dispatchEvent(new JobStruck(this.ro))}>Strike ${this.ro} off</button>
      </div>`;
  }

  private readonly renumber = (event: Event): void => {
    event.preventDefault();
    const field = (event.currentTarget as HTMLFormElement).elements.namedItem('ro') as HTMLInputElement;
    const to = field.value.trim();
    if (!to || to === this.ro) return this.ask('nothing');
    if (this.taken.includes(to)) {
      this.wrong = `${to} has a sheet already.`;
      return;
    }
    this.dispatchEvent(new JobRenumbered(this.ro, to));
    this.asking = 'nothing';
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-job-keys': JobKeys;
  }
}
