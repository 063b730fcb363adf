import { css, html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Lamps } from '../../src/job/state.ts';
import { choice } from '../keys/choice.ts';
import { Said } from '../record/said.ts';
import { clock } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { LAMP_WORDS, lampId, lampText } from './lamp-words.ts';

/**
 * Which warning lamps are lit with the engine running, at intake or at release. What is written stands as one sentence;
 * none lit has to be said as much as each that is.
 * @fires lb-said
 */
@customElement('lb-lamps')
export class LampsAsked extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      p { line-height: 1.28; }
      .key { min-height: 54px; }
      .keys { margin-top: 8px; }
      .other { display: flex; flex-wrap: wrap; align-items: end; gap: 8px; margin-top: 10px; }
      .other label { flex: 1 1 200px; max-width: 420px; }
      .other input { min-height: 54px; }
      .wrote { font-family: var(--pen); font-weight: 600; }
    `,
  ];

  @property() when: 'intake' | 'release' = 'release';
  /** As they are on record. */
  @property({ attribute: false }) lamps: Lamps | undefined = undefined;
  /** What is on record no longer counts: the car was worked on since. */
  @property({ type: Boolean }) stale = false;
  /** Lamps that were lit when it came in, shown once its own are written. */
  @property({ attribute: false }) came: readonly string[] | undefined = undefined;
  /** Why whoever is signed in can not write them, as a sentence; '' = can. */
  @property() barred = '';
  @state() private lit: readonly string[] = [];
  @state() private asking = false;
  @query('input') private readonly field!: HTMLInputElement;

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('lamps')) return;
    this.asking = false;
    this.lit = [];
  }

  override render(): TemplateResult {
    const { lamps, stale, asking, barred } = this;
    if (barred)
      return html`${lamps ? html`<p><span class="wrote">${litText(lamps.lit)}</span> ${lamps.by}, ${clock(lamps.at, Date.now())}. ${this.had()}</p>` : html`<p>Nobody wrote them down.</p>`}<p>${barred}</p>`;
    if (lamps && !stale && !asking)
      return html`<p><span class="wrote">${litText(lamps.lit)}</span> ${lamps.by}, ${clock(lamps.at, Date.now())}. ${this.had()}</p>
        <div class="keys"><button type="button" class="key" @click=${() => (this.asking = true)}>Read them again</button></div>`;
    return html`${stale && lamps ? html`<p>The car was worked on after ${lamps.by} read them: read them again.</p>` : nothing}
      ${choice('Lit with the engine running', this.options(), this.lit, (id) => this.turn(id))}
      <div class="other">
        <label><span class="label">Another lamp, by its name</span><input autocomplete="off" maxlength="60" @keydown=${this.entered} /></label>
        <button type="button" class="key" @click=${this.add}>It is lit</button>
      </div>
      <div class="keys">
        <button type="button" class="key full" @click=${() => this.write(this.lit)}>${this.lit.length === 0 ? 'No lamp is lit' : `Write down: ${this.lit.map(lampText).join(', ')}`}</button>
        ${this.when === 'intake' ? html`<button type="button" class="key" @click=${() => this.write(null)}>Nobody looked</button>` : nothing}
      </div>`;
  }

  private had(): string {
    if (this.came === undefined) return '';
    return this.came.length > 0 ? `When it came in: ${this.came.map(lampText).join(', ')}.` : 'When it came in: none.';
  }

  private options(): { value: string; text: string }[] {
    const own = this.lit.filter((id) => !LAMP_WORDS.has(id));
    return [...LAMP_WORDS.keys(), ...own].map((value) => ({ value, text: lampText(value) }));
  }

  private turn(id: string): void {
    this.lit = this.lit.includes(id) ? this.lit.filter((other) => other !== id) : [...this.lit, id];
  }

  private readonly entered = (event: KeyboardEvent): void => {
    if (event.key === 'Enter') this.add();
  };

  private readonly add = (): void => {
    const id = lampId(this.field.value);
    this.field.value = '';
    if (id && !this.lit.includes(id)) this.lit = [...this.lit, id];
  };

  private write(lit: readonly string[] | null): void {
    this.dispatchEvent(new Said([{ type: 'lamps', when: this.when, lit: lit ? [...lit] : null }]));
  }
}

function litText(lit: readonly string[] | null): string {
  if (lit === null) return 'Nobody looked.';
  return lit.length === 0 ? 'None is lit.' : `Lit: ${lit.map(lampText).join(', ')}.`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-lamps': LampsAsked;
  }
}
