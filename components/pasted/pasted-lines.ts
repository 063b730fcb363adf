import './proposed-line.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import { readLines } from '../../src/write-up/read.ts';
import type { Passed, Reading, ReadLine } from '../../src/write-up/reading.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { letterOf, stretches } from './marked.ts';
import type { ProposedLine } from './proposed-line.ts';

const MOST_SHOWN = 150;

/**
 * The lines of a repair order, pasted: what they name stands below them, each for a person to put on the sheet, and
 * what names nothing with its reason.
 * @fires lb-line-made
 */
@customElement('lb-pasted-lines')
export class PastedLines extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      textarea { appearance: none; font: 560 var(--t-body)/1.4 var(--pen); color: var(--ink); background: var(--wash); border: 2px solid var(--touch); border-radius: 4px; min-height: 108px; width: 100%; padding: 10px 12px; margin: 0; display: block; resize: vertical; }
      textarea::placeholder { color: var(--ink-2); font-weight: 450; }
      .keys { margin: 8px 0; }
      .order { font: 500 var(--t-body)/1.75 var(--pen); background: var(--wash); border: 2px solid var(--edge); border-radius: 4px; padding: 6px 12px; margin: 8px 0; overflow-wrap: anywhere; }
      mark { background: none; color: inherit; font-weight: 700; border-bottom: 3px solid var(--ink); padding-bottom: 1px; }
      .letter { display: inline-block; font: 800 1rem/24px var(--print); min-width: 24px; padding: 0 4px; text-align: center; background: var(--ink); color: var(--paper); border-radius: 12px; margin-right: 5px; }
      .proposals { border-top: 3px solid var(--ink); }
      summary { min-height: var(--tap); display: flex; align-items: center; gap: 10px; color: var(--touch); font-weight: 720; cursor: pointer; }
      summary::before { content: '+'; font: 800 var(--t-step)/1 var(--print); width: 1em; text-align: center; }
      details[open] summary::before { content: '\\2212'; }
      .passed li { padding: 4px 0; border-top: 1px solid var(--hair); line-height: 1.25; overflow-wrap: anywhere; }
    `,
  ];

  @property({ attribute: false }) rulebook!: Rulebook;
  /** As in a job file; it tells on which side the driver sits. */
  @property() market: string | undefined;
  /** Work lines that are on the sheet already. */
  @property({ attribute: false }) sheet: ProposedLine['sheet'] = [];
  @state() private text = '';
  @state() private reading: Reading | undefined;
  @query('textarea') private readonly field!: HTMLTextAreaElement;

  override focus(): void {
    this.field?.focus();
  }

  override willUpdate(changed: ReadonlyMap<PropertyKey, unknown>): void {
    if ((changed.has('market') || changed.has('rulebook')) && this.reading) this.read();
  }

  override render(): TemplateResult {
    return html`<form @submit=${this.readAgain}>
        <label><span class="label">Paste the repair order's lines</span>
          <textarea rows="4" .value=${this.text} placeholder="R&amp;R LF wheel brg, align; prog BCM" autocomplete="off" autocapitalize="off" spellcheck="false" @input=${this.typed}></textarea>
        </label>
        <div class="keys"><button class="key">Read the lines</button></div>
      </form>
      <p role="status">${this.summary()}</p>
      ${this.reading ? this.found(this.reading) : nothing}`;
  }

  private summary(): string {
    if (!this.reading) return '';
    const count = this.reading.lines.reduce((sum, { proposals }) => sum + proposals.length, 0);
    if (count === 0) return 'No line names any work on a part.';
    return `${count === 1 ? 'One work line is' : `${count} work lines are`} proposed. Nothing goes on the sheet by itself.`;
  }

  private found({ lines, unread }: Reading): TemplateResult {
    const shown = lines.slice(0, MOST_SHOWN);
    const more = lines.length - shown.length + unread;
    let next = 0;
    const lettered = shown.map((line) => ({ line, letters: line.proposals.map(() => letterOf(next++)) }));
    return html`${next > 0 ? html`<div class="order" role="region" aria-label="The lines, with the words that were read">${lettered.map(({ line, letters }) => marked(line, letters))}</div>` : nothing}
      <div class="proposals" ?hidden=${next === 0}>
        ${lettered.flatMap(({ line, letters }) =>
          line.proposals.map(
            (proposal, i) =>
              html`<lb-proposed-line .proposal=${proposal} .letter=${letters[i] as string} .parts=${this.rulebook.parts} .sheet=${this.sheet}></lb-proposed-line>`,
          ),
        )}
      </div>
      ${passedOver(shown)}
      ${more > 0 ? html`<p>${more} more lines are not shown: paste them by themselves.</p>` : nothing}`;
  }

  /** What is pasted is read at once; what is typed, when the key says so. */
  private readonly typed = (event: InputEvent): void => {
    this.text = this.field.value;
    if (event.inputType === 'insertFromPaste') this.read();
    else if (this.text.trim() === '') this.reading = undefined;
  };

  private readonly readAgain = (event: Event): void => {
    event.preventDefault();
    this.text = this.field.value;
    this.read();
  };

  private read(): void {
    this.reading = this.text.trim() === '' ? undefined : readLines(this.text, this.rulebook, this.market);
  }
}

function marked(line: ReadLine, letters: readonly string[]): TemplateResult {
  const parts = stretches(line, letters).map(
    (stretch) =>
      html`${stretch.letters.map((letter) => html`<span class="letter">${letter}</span>`)}${stretch.marked ? html`<mark>${stretch.text}</mark>` : stretch.text}`,
  );
  return html`<p class=${letters.length > 0 ? '' : 'soft'}>${parts}</p>`;
}

function passedOver(lines: readonly ReadLine[]): TemplateResult | typeof nothing {
  const rows = lines.flatMap((line) => line.passed.map((passed) => ({ line, passed })));
  if (rows.length === 0) return nothing;
  return html`<details class="passed">
    <summary>${rows.length === 1 ? 'One piece was passed over' : `${rows.length} pieces were passed over`}</summary>
    <ul>${rows.map(({ line, passed }) => html`<li><span class="pen">${pieceOf(line, passed)}</span>: ${passed.because}</li>`)}</ul>
  </details>`;
}

function pieceOf({ text }: ReadLine, { words: { from, to } }: Passed): string {
  const piece = text.slice(from, to).trim();
  return piece.length > 120 ? `${piece.slice(0, 120)}…` : piece;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-pasted-lines': PastedLines;
  }
}
