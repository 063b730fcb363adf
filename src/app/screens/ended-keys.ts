import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { Said } from '../../../components/record/said.ts';
import { blank, key, sheet } from '../../../components/sheet/sheet.styles.ts';

/** A car that went is here again, under a number of its own. */
export class CameBack extends Event {
  static readonly type = 'lb-came-back';
  constructor(
    readonly ro: string,
    readonly old: string,
    readonly complaint: string,
  ) {
    super(CameBack.type, { bubbles: true, composed: true });
  }
}

/**
 * What can be done with a job that has ended: the foreman opens it again, or the car came back and gets a new one.
 * @fires lb-said
 * @fires lb-came-back
 */
@customElement('lb-ended-keys')
export class EndedKeys extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      form { display: grid; gap: 8px; max-width: 640px; margin-top: 8px; }
      .keys { margin-top: 8px; }
    `,
  ];

  @property() ro = '';
  /** Numbers that have a sheet already. */
  @property({ attribute: false }) taken: readonly string[] = [];
  /** A foreman is signed in. */
  @property({ type: Boolean }) foreman = false;
  @state() private asking: 'nothing' | 'reopen' | 'came-back' = 'nothing';
  @state() private wrong = '';

  override render(): TemplateResult {
    if (this.asking === 'nothing')
      return html`<div class="keys">
        <button class="key" @click=${() => this.ask('came-back')}>It came back</button>
        ${this.foreman ? html`<button class="key" @click=${() => this.ask('reopen')}>Open it again</button>` : nothing}
      </div>`;
    const back = this.asking === 'came-back';
    return html`<form @submit=${this.submit}>
      ${back ? html`<label><span class="label">Number of the new repair order</span><input name="ro" maxlength="40" required autocomplete="off" /></label>` : nothing}
      <label><span class="label">${back ? 'What the customer says' : 'Why it is opened again'}</span><input name="why" maxlength="2000" required autocomplete="off" /></label>
      <div role="alert">${this.wrong ? html`<p><b>${this.wrong}</b></p>` : nothing}</div>
      <div class="keys"><button class="key full">${back ? 'Write it up' : `Open ${this.ro} again`}</button><button type="button" class="key" @click=${() => this.ask('nothing')}>Leave it</button></div>
    </form>`;
  }

  private ask(what: EndedKeys['asking']): void {
    this.asking = what;
    this.wrong = '';
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('input, button')?.focus());
  }

  private readonly submit = (event: Event): void => {
    event.preventDefault();
    const { elements } = event.currentTarget as HTMLFormElement;
    const written = (name: string) => (elements.namedItem(name) as HTMLInputElement | null)?.value.trim() ?? '';
    const [ro, why] = [written('ro'), written('why')];
    if (!why) {
      this.wrong = 'Say it in a few words.';
      return;
    }
    if (this.asking === 'reopen') this.dispatchEvent(new Said([{ type: 'reopened', because: why }]));
    else if (ro === this.ro || this.taken.includes(ro)) {
      this.wrong = `${ro} has a sheet already: give the new job a number of its own.`;
      return;
    } else this.dispatchEvent(new CameBack(ro, this.ro, why));
    this.asking = 'nothing';
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-ended-keys': EndedKeys;
  }
}
