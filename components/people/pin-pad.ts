import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { PinTyped } from './events.ts';

const LEAST = 4;
const MOST = 8;

/**
 * A PIN on keys for a gloved finger, or typed; shown as dots.
 * @fires lb-pin-typed
 */
@customElement('lb-pin-pad')
export class PinPad extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      label { font-weight: 750; overflow-wrap: anywhere; }
      input { min-height: 64px; margin-top: 4px; font: 700 var(--t-head) / 1 var(--pen); letter-spacing: 0.3em; text-align: center; border-width: 3px; }
      .pad { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 8px; margin-top: 10px; }
      .pad .key { min-height: 64px; min-width: 0; padding: 0 2px; font: 700 1.625rem/1 var(--pen); }
      .pad .word { font: 750 var(--t-body) / 1.1 var(--print); }
      .pad .main { grid-column: 1 / -1; min-height: var(--tap-main); font: 750 var(--t-stop) / 1.1 var(--print); }
    `,
  ];

  @property() label = 'PIN';
  @property() done = 'Sign in';
  @state() private pin = '';
  @query('input') private readonly field!: HTMLInputElement;

  override focus(): void {
    this.field.focus();
  }

  clear(): void {
    this.pin = '';
  }

  override render(): TemplateResult {
    const digit = (d: string) =>
      html`<button type="button" class="key" @click=${() => this.put(this.pin + d)}>${d}</button>`;
    const enough = this.pin.length >= LEAST;
    return html`<label for="pin">${this.label}</label>
      <input id="pin" type="password" inputmode="none" autocomplete="off" maxlength=${MOST} .value=${this.pin}
        @input=${() => this.put(this.field.value)} @keydown=${this.entered} />
      <div class="pad">
        ${['1', '2', '3', '4', '5', '6', '7', '8', '9'].map(digit)}
        <button type="button" class="key word" @click=${() => this.put('')}>Clear</button>${digit('0')}
        <button type="button" class="key word" @click=${() => this.put(this.pin.slice(0, -1))}>Rub out</button>
        <button type="button" class="key main ${enough ? 'full' : ''}" aria-disabled=${enough ? 'false' : 'true'} @click=${this.send}>${enough ? this.done : `${LEAST} to ${MOST} digits`}</button>
      </div>`;
  }

  private put(text: string): void {
    this.pin = text.replaceAll(/\D/g, '').slice(0, MOST);
    this.field.value = this.pin;
  }

  private readonly entered = (event: KeyboardEvent): void => {
    if (event.key === 'Enter') this.send();
  };

  private readonly send = (): void => {
    const { pin } = this;
    if (pin.length < LEAST) return;
    this.pin = '';
    this.dispatchEvent(new PinTyped(pin));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-pin-pad': PinPad;
  }
}
