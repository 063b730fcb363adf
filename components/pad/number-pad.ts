import { html, LitElement, nothing, svg, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Asked } from '../../src/job/asked.ts';
import { type Judged, judgeReading, readTyped, type Units } from '../../src/job/readings.ts';
import { converted, likeUnits, unitShown, withUnit } from '../../src/job/units.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import { choice } from '../keys/choice.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital } from '../sheet/time.ts';
import { gauge } from './gauge.ts';
import { limitWords } from './limits.ts';
import { pad } from './pad.styles.ts';
import { Written } from './written.ts';

type NumberValue = Extract<ReadingValue, { kind: 'number' }>;

const DIGITS = ['7', '8', '9', '4', '5', '6', '1', '2', '3'];
const MINUS = '−';

/**
 * One figure, on keys for a gloved finger or typed; judged while it is written. A likely slip is asked about before it
 * is written down, and put right by one tap.
 * @fires lb-written
 */
@customElement('lb-number-pad')
export class NumberPad extends LitElement {
  static override styles = [sheet, key, blank, pad];

  @property({ attribute: false }) asked!: Asked;
  @property() units: Units = 'metric';
  /** What is written down already. */
  @property({ attribute: false }) value: ReadingValue | undefined = undefined;
  /** A figure outside its limit may be explained; never on a safety item. */
  @property({ type: Boolean }) explains = false;
  @state() private text = '';
  @state() private unit: string | undefined;
  @state() private choosing = false;
  @query('.field input') private readonly field!: HTMLInputElement;
  @query('.because input') private readonly reason!: HTMLInputElement | null;

  override focus(): void {
    this.field.focus();
  }

  override willUpdate(changed: PropertyValues<this>): void {
    const { asked, value, units } = this;
    if (changed.get('asked')?.key !== asked.key && changed.has('asked')) this.choosing = false;
    else if (!changed.has('value')) return;
    this.text = value?.kind === 'number' ? String(value.value).replace('-', MINUS) : '';
    this.unit = (value?.kind === 'number' && value.unit) || (asked.unit && unitShown(asked.unit, units));
  }

  override render(): TemplateResult {
    const { asked, text } = this;
    const typed = this.typed();
    const judged = this.judged(typed);
    const figure = typeof typed === 'object' ? this.inAskedUnit(typed) : undefined;
    return html`<div role="group" aria-label=${capital(asked.label)}>
      <div class="field">
        <span><label for="figure">${capital(asked.label)}</label><span class="limit" id="limit">${limitWords(asked, this.units) || 'No limit is known'}</span></span>
        <input id="figure" inputmode="none" autocomplete="off" spellcheck="false" aria-describedby="limit says" .value=${text}
          @input=${() => (this.text = this.field.value)} @keydown=${this.entered} />
        ${this.unitKey()}
      </div>
      ${gauge(asked, figure, this.units)}
      ${this.unitKeys()} ${this.keys(judged)}
      <div id="says" role="status" aria-live="polite">${this.says(judged)}</div>
      ${this.perhaps(judged)} ${this.explaining(judged)}
    </div>`;
  }

  private keys(judged: Judged | undefined): TemplateResult {
    const digit = (d: string) => html`<button type="button" class="key" @click=${() => (this.text += d)}>${d}</button>`;
    const rub = html`<button type="button" class="key word" @click=${() => (this.text = [...this.text].slice(0, -1).join(''))}>Rub out</button>`;
    const write = html`<button type="button" class="key word tall full" aria-disabled=${this.writable(judged) ? 'false' : 'true'} @click=${this.write}>${this.writeWords(judged)}</button>`;
    return html`<div class="pad">
      ${DIGITS.slice(0, 3).map(digit)}${rub} ${DIGITS.slice(3, 6).map(digit)}${write} ${DIGITS.slice(6).map(digit)}
      <button type="button" class="key" aria-label="Plus or minus" @click=${this.turn}>+/−</button>${digit('0')}
      <button type="button" class="key" aria-label="Point" @click=${this.point}>.</button>
    </div>`;
  }

  private writeWords(judged: Judged | undefined): string {
    if (judged === undefined) return 'Type the figure';
    if (judged.verdict === 'doubted') return 'Say which it is';
    return judged.verdict === 'unfit' ? 'No figure yet' : 'Write it down';
  }

  private says(judged: Judged | undefined): TemplateResult | typeof nothing {
    if (!judged) return nothing;
    const fits = judged.verdict === 'passes';
    const word = this.asked.limits.length > 0 ? 'Within the limit.' : 'No limit to hold it against.';
    return html`<p class="says ${fits ? '' : 'against'}">${fits ? FITS : AGAINST}<span>${fits ? word : judged.text}</span></p>`;
  }

  /** What was perhaps meant, each by one tap; and that it is meant as it stands. */
  private perhaps(judged: Judged | undefined): TemplateResult | typeof nothing {
    const typed = this.typed();
    if (!judged || typeof typed !== 'object' || judged.perhaps.length === 0) return nothing;
    const sure = judged.verdict === 'doubted';
    return html`<div class="keys">
      ${judged.perhaps.map(({ value, unit }) => html`<button type="button" class="key" @click=${() => this.fire({ kind: 'number', value, ...(unit ? { unit } : {}) })}>It is ${withUnit(value, unit)}</button>`)}
      ${sure ? html`<button type="button" class="key" @click=${() => this.fire({ ...typed, sure: true })}>${withUnit(typed.value, typed.unit)} is right</button>` : nothing}
    </div>`;
  }

  private explaining(judged: Judged | undefined): TemplateResult | typeof nothing {
    if (!this.explains || judged?.verdict !== 'fails') return nothing;
    const because = this.value?.kind === 'number' ? (this.value.because ?? '') : '';
    return html`<label class="because">Why it is good as it is, if it is<input autocomplete="off" maxlength="2000" .value=${because} /></label>`;
  }

  private get otherUnits(): string[] {
    const { unit } = this.asked;
    // Degrees before top dead centre are degrees: nothing is read differently by choosing them.
    return unit === undefined ? [] : likeUnits(unit).filter((other) => converted(1, unit, other) !== 1);
  }

  private unitKey(): TemplateResult {
    const { unit } = this;
    if (unit === undefined || this.otherUnits.length === 0) return html`<span class="unit">${sign(unit)}</span>`;
    return html`<button type="button" class="key unit" aria-expanded=${this.choosing ? 'true' : 'false'} aria-label="Unit ${unit}, choose another" @click=${() => (this.choosing = !this.choosing)}>${sign(unit)}</button>`;
  }

  private unitKeys(): TemplateResult | typeof nothing {
    if (!this.choosing) return nothing;
    const options = [this.asked.unit as string, ...this.otherUnits].map((value) => ({ value, text: sign(value) }));
    return choice('Unit', options, [this.unit ?? ''], (unit) => {
      this.unit = unit;
      this.choosing = false;
    });
  }

  private typed(): NumberValue | string | undefined {
    if (/^\s*[−-]?\s*$/.test(this.text)) return undefined;
    const read = readTyped(this.text.replace(/[.,]$/, ''));
    if (typeof read === 'string') return read;
    const unit = read.unit ?? this.unit;
    return { kind: 'number', value: read.value, ...(unit ? { unit } : {}) };
  }

  private judged(typed: NumberValue | string | undefined): Judged | undefined {
    if (typed === undefined) return undefined;
    if (typeof typed === 'string') return { verdict: 'unfit', text: typed, perhaps: [] };
    return judgeReading(this.asked, typed, this.units);
  }

  private inAskedUnit({ value, unit }: NumberValue): number | undefined {
    return unit === undefined || this.asked.unit === undefined ? value : converted(value, unit, this.asked.unit);
  }

  private writable(judged: Judged | undefined): boolean {
    return judged?.verdict === 'passes' || judged?.verdict === 'fails';
  }

  private readonly turn = (): void => {
    this.text = /^[−-]/.test(this.text) ? this.text.slice(1) : `${MINUS}${this.text}`;
  };

  private readonly point = (): void => {
    if (!/[.,]/.test(this.text)) this.text += /\d$/.test(this.text) ? '.' : '0.';
  };

  private readonly entered = (event: KeyboardEvent): void => {
    if (event.key === 'Enter') this.write();
  };

  private readonly write = (): void => {
    const typed = this.typed();
    const judged = this.judged(typed);
    if (typeof typed !== 'object' || !this.writable(judged)) return;
    const because = judged?.verdict === 'fails' ? this.reason?.value.trim() : '';
    this.fire({ ...typed, ...(because ? { because } : {}) });
  };

  private fire(value: NumberValue): void {
    this.dispatchEvent(new Written(this.asked.key, value));
  }
}

function sign(unit: string | undefined): string {
  return unit === 'deg' ? '°' : (unit ?? '');
}

const FITS = html`<svg viewBox="0 0 34 34" aria-hidden="true">${svg`<circle cx="17" cy="17" r="14" fill="currentColor" /><path d="M10 17.5l5 5 9-11" fill="none" stroke="var(--paper)" stroke-width="4" />`}</svg>`;
const AGAINST = html`<svg viewBox="0 0 34 34" aria-hidden="true">${svg`<path d="M7 7l20 20M27 7L7 27" stroke="currentColor" stroke-width="5" />`}</svg>`;

declare global {
  interface HTMLElementTagNameMap {
    'lb-number-pad': NumberPad;
  }
}
