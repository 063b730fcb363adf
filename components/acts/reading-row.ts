import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Asked } from '../../src/job/asked.ts';
import { type Judged, judgeReading, type Units } from '../../src/job/readings.ts';
import { withUnit } from '../../src/job/units.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import { choice } from '../keys/choice.ts';
import { limitWords } from '../pad/limits.ts';
import '../pad/number-pad.ts';
import { Written } from '../pad/written.ts';
import '../photo/photo.ts';
import type { PhotoTaken } from '../photo/photo.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital } from '../sheet/time.ts';
import { acts } from './acts.styles.ts';

/** Somebody wants to answer this reading, or has enough of it. */
export class Turned extends Event {
  static readonly type = 'lb-turned';
  constructor(readonly key: string) {
    super(Turned.type, { bubbles: true });
  }
}

/**
 * One reading of a step: a line with what it must be and what was written, and under it, opened, the keys to answer it.
 * @fires lb-written
 * @fires lb-turned
 */
@customElement('lb-reading-row')
export class ReadingRow extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    acts,
    css`
      .line { display: grid; grid-template-columns: minmax(0, 1fr) auto; align-items: center; gap: 2px 10px; width: 100%; min-height: 54px; border: 0; border-bottom: 2px solid var(--ink); background: none; font: inherit; color: inherit; text-align: left; padding: 4px 0; line-height: 1.18; cursor: pointer; }
      .line .name { font-weight: 650; }
      .line .limit { font-size: var(--t-fine); color: var(--ink-2); display: block; }
      .line .value { font: 650 1.5rem/1.1 var(--pen); overflow-wrap: anywhere; max-width: 9em; text-align: right; }
      .line .value.words { font-size: var(--t-body); }
      .line .empty { border: 2px solid var(--touch); border-radius: 4px; background: var(--wash); color: var(--touch); font: 650 var(--t-body) / 1 var(--print); padding: 10px 12px; }
      .body { padding: 8px 0 4px; }
      .keys .key { flex: 1 1 140px; min-height: 64px; }
      .wrong { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; margin-top: 6px; }
    `,
  ];

  @property({ attribute: false }) asked!: Asked;
  @property({ attribute: false }) value: ReadingValue | undefined = undefined;
  @property() units: Units = 'metric';
  @property({ type: Boolean }) safety = false;
  @property({ type: Boolean }) opened = false;
  @state() private refused = '';
  @query('textarea') private readonly words!: HTMLTextAreaElement | null;

  override focus(): void {
    const pad = this.renderRoot.querySelector('lb-number-pad');
    (pad ?? this.words ?? this.renderRoot.querySelector<HTMLElement>('.keys .key, .line'))?.focus();
  }

  override render(): TemplateResult {
    const { asked, value, opened } = this;
    const judged = value && judgeReading(asked, value, this.units);
    // The pad says itself what is asked.
    if (opened && asked.answer === 'number')
      return html`<div class="body">${this.answering()} ${this.otherwise()}</div>`;
    return html`<button type="button" class="line" aria-expanded=${opened ? 'true' : 'false'} @click=${() => this.dispatchEvent(new Turned(asked.key))}>
        <span><span class="name">${capital(asked.label)}</span><span class="limit">${this.limit(judged)}</span></span>
        ${value ? html`<span class="value ${value.kind === 'number' ? '' : 'words'}">${valueText(value, asked.unit)}</span>` : opened ? nothing : html`<span class="empty">${asked.must ? 'Wanted' : 'If you like'}</span>`}
      </button>
      ${judged && judged.verdict !== 'passes' && !opened ? html`<p class="wrong">${judged.text}</p>` : nothing}
      ${opened ? html`<div class="body">${this.answering()} ${this.otherwise()}</div>` : nothing}`;
  }

  private limit(judged: Judged | undefined): string {
    const limit = limitWords(this.asked, this.units) || WANTED[this.asked.answer];
    if (!judged) return limit;
    return `${limit}, ${judged.verdict === 'passes' ? 'met' : 'not met'}`;
  }

  private answering(): TemplateResult {
    const { asked, value } = this;
    if (asked.answer === 'number')
      return html`<lb-number-pad .asked=${asked} .units=${this.units} .value=${value} .explains=${!this.safety && asked.when === 'proof'}></lb-number-pad>`;
    if (asked.answer === 'choice')
      return choice(
        asked.label,
        asked.choices.map((one) => ({ value: one, text: capital(one) })),
        value?.kind === 'choice' ? [value.value] : [],
        (picked) => this.write({ kind: 'choice', value: picked }),
      );
    if (asked.answer === 'photo') return this.photo('Photograph it', (hash) => ({ kind: 'photo', hash }));
    return html`<form @submit=${this.said}>
      <label>${capital(asked.label)}<textarea rows="2" maxlength="2000" .value=${value?.kind === 'text' ? value.value : ''}></textarea></label>
      ${this.refused ? html`<p class="wrong" role="alert">${this.refused}</p>` : nothing}
      <button class="key full">Write it down</button>
    </form>`;
  }

  /** What stands for the answer where it can not be given as it is asked. */
  private otherwise(): TemplateResult {
    const { answer } = this.asked;
    const shows = answer === 'choice' || answer === 'text';
    return html`<details><summary>It can not be answered like that</summary>
      ${shows ? html`<p>A picture shows it as well:</p>${this.photo('Photograph it', (hash) => ({ kind: 'photo', hash }))}` : nothing}
      <p class="then">The tool says that it is not supported on this car:</p>
      ${this.photo("Photograph the tool's screen", (photo) => ({ kind: 'not-supported', photo }))}
    </details>`;
  }

  private photo(label: string, valueOf: (hash: string) => ReadingValue): TemplateResult {
    const kept = this.value?.kind === valueOf('').kind;
    return html`<lb-photo .label=${label} .kept=${kept} @lb-photo-taken=${({ hash }: PhotoTaken) => this.writeAfter(valueOf(hash))}></lb-photo>`;
  }

  /** The picture has to be in the job before a reading names it, so it is let pass first. */
  private writeAfter(value: ReadingValue): void {
    queueMicrotask(() => this.write(value));
  }

  private readonly said = (event: Event): void => {
    event.preventDefault();
    const value = this.words?.value.trim();
    if (!value) return;
    const told: ReadingValue = { kind: 'text', value };
    const { verdict, text } = judgeReading(this.asked, told, this.units);
    this.refused = verdict === 'passes' ? '' : text;
    if (!this.refused) this.write(told);
  };

  private write(value: ReadingValue): void {
    this.dispatchEvent(new Written(this.asked.key, value));
  }
}

const WANTED = { number: 'a figure', choice: 'one of these', text: 'in words', photo: 'a photo' } as const;

/** An answer as it stands on the sheet; a figure without a unit is in the one that was asked for. */
export function valueText(value: ReadingValue, unit?: string): string {
  if (value.kind === 'number') return withUnit(value.value, value.unit ?? unit);
  if (value.kind === 'photo') return 'photo kept';
  return value.kind === 'not-supported' ? 'not supported, photo kept' : value.value;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-reading-row': ReadingRow;
  }
}
