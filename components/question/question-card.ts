import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { Question } from '../../src/resolve/result.ts';
import { choice, type Option } from '../keys/choice.ts';
import '../plate/plate.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import { Answered } from './answered.ts';
import { drawing, hasDrawing } from './drawings.ts';

/**
 * One question about the car: how to tell, and the answers as keys. An answered one stays and can be corrected.
 * @fires lb-answered
 */
@customElement('lb-question-card')
export class QuestionCard extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      :host { height: 100%; }
      .q { display: grid; grid-template-columns: minmax(0, 1fr); gap: 4px 16px; padding: 12px 16px 14px; align-items: start; height: 100%; }
      .q.drawn { grid-template-columns: 160px minmax(0, 1fr); }
      figure { padding-top: 10px; }
      svg { width: 160px; height: 106px; }
      h2 { font-size: var(--t-step); letter-spacing: -0.015em; line-height: 1.12; }
      p { line-height: 1.24; margin: 4px 0 9px; }
      lb-plate { margin-bottom: 5px; }
      .likely { border-left: 8px dashed var(--ink); padding: 2px 0 2px 12px; }
      .key { padding: 4px 12px; }
      select { max-width: 320px; margin-bottom: 8px; }
      form { display: flex; flex-wrap: wrap; gap: 8px; margin-bottom: 8px; }
      form > * { flex: 0 1 auto; }
      form input { flex: 1 1 140px; max-width: 260px; }
      @media (max-width: 560px) { .q.drawn { grid-template-columns: minmax(0, 1fr); } }
    `,
  ];

  @property({ attribute: false }) question!: Question;
  @property({ type: Number }) number = 0;
  /** undefined = not answered. */
  @property({ attribute: false }) answer: string | null | undefined = undefined;
  /** So many answers that they are picked from a list instead of keys. */
  @property({ attribute: false }) more: readonly Option[] = [];
  /** Any word or number may be written, beside what is on keys. */
  @property({ type: Boolean }) free = false;
  @query('input') private readonly field!: HTMLInputElement | null;

  override render(): TemplateResult {
    const { question } = this;
    const drawn = hasDrawing(question.id);
    return html`<div class="q ${drawn ? 'drawn' : ''}">
      ${drawn ? html`<figure>${drawing(question.id)}</figure>` : nothing}
      <div>
        ${question.safety ? html`<lb-plate flat></lb-plate>` : nothing}
        <h2><span class="pen">${this.number}</span>&ensp;${capital(question.text)}</h2>
        <p>${question.howToTell ? sentence(question.howToTell) : ''} <span class="soft">${this.settles()}</span></p>
        ${this.likely()}
        ${this.free || question.answers.length === 0 ? this.writing() : nothing} ${this.more.length > 0 ? this.list() : nothing}
        ${choice(question.text, this.options(), this.picked(), (value) => this.pick(value))}
      </div>
    </div>`;
  }

  /** A suggestion, marked as one: no key is pressed by it. */
  private likely(): TemplateResult | typeof nothing {
    const { likely, answers } = this.question;
    if (!likely || this.answer !== undefined) return nothing;
    const named = [...answers, ...this.more].find(({ value }) => value === likely.value)?.text ?? likely.value;
    return html`<p class="likely"><b>Likely: ${named}</b>; because ${likely.because.replace(/[.]$/, '')}. Look all the same.</p>`;
  }

  private settles(): string {
    const count = this.question.settles.length;
    if (count === 0) return '';
    return `Settles ${count} ${count === 1 ? 'step' : 'steps'}.`;
  }

  private options(): Option[] {
    if (this.more.length > 0) return [{ value: CANNOT_TELL, text: "Looked, can't tell" }];
    const given = this.question.answers
      .filter(({ value }) => value !== CANNOT_TELL)
      .map(({ value, text }) => ({ value, text: capital(text) }));
    return [...given, { value: CANNOT_TELL, text: "Looked, can't tell" }];
  }

  private picked(): string[] {
    if (this.answer === undefined) return [];
    return [this.answer ?? CANNOT_TELL];
  }

  private pick(value: string): void {
    const again = this.picked().includes(value);
    const answer = value === CANNOT_TELL ? null : value;
    this.dispatchEvent(new Answered(this.question.id, again ? undefined : answer));
  }

  private list(): TemplateResult {
    const listed = this.more.some(({ value }) => value === this.answer);
    return html`<select aria-label=${this.question.text} @change=${this.pickListed}>
      <option value="" ?selected=${!listed}>not said</option>
      ${this.more.map(({ value, text }) => html`<option value=${value} ?selected=${value === this.answer}>${text}</option>`)}
    </select>`;
  }

  private readonly pickListed = (event: Event): void => {
    const { value } = event.target as HTMLSelectElement;
    if (value) this.dispatchEvent(new Answered(this.question.id, value));
  };

  private writing(): TemplateResult {
    return html`<form @submit=${this.write}>
      <input aria-label=${this.question.text} .value=${this.answer ?? ''} autocomplete="off" />
      <button class="key">Write it down</button>
    </form>`;
  }

  private readonly write = (event: Event): void => {
    event.preventDefault();
    const value = this.field?.value.trim();
    if (value) this.dispatchEvent(new Answered(this.question.id, value));
  };
}

const CANNOT_TELL = 'cannot-tell';

declare global {
  interface HTMLElementTagNameMap {
    'lb-question-card': QuestionCard;
  }
}
