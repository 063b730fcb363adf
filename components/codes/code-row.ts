import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { CodeRow } from '../../src/job/codes.ts';
import { moduleTitle } from '../../src/scan/find-modules.ts';
import '../bolt/bolt.ts';
import { stageWord } from '../bolt/bolt.ts';
import { clock } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { sentence } from '../sheet/time.ts';
import { codes } from './codes.styles.ts';
import './explain.ts';
import { changeLine, CHANGES } from './marks.ts';

/**
 * One code: as it was before, what became of it, as it is after, and whose it is.
 * @fires lb-said
 */
@customElement('lb-code-row')
export class CodeLine extends LitElement {
  static override styles = [
    sheet,
    key,
    codes,
    css`
      @media print { :host { break-inside: avoid; } }
      :host { border-bottom: 2px solid var(--ink); container-type: inline-size; }
      .c { display: grid; grid-template-columns: 8.625rem 7.75rem 8.625rem minmax(0, 1fr); gap: 4px 12px; align-items: center; padding: 8px 16px; min-height: 84px; }
      .code { font: 650 1.4375rem/1.1 var(--pen); letter-spacing: -0.03em; white-space: nowrap; }
      .struck { text-decoration: line-through; text-decoration-thickness: 3px; }
      .became { text-align: center; line-height: 1.05; font-weight: 700; }
      .became svg { width: 7.5rem; height: 2rem; }
      .kept { font-size: var(--t-fine); line-height: 1.15; }
      .step { display: inline-flex; align-items: center; gap: 8px; min-height: 54px; }
      .step lb-bolt { width: 34px; height: 34px; flex: none; }
      details { border: 0; margin: 0; }
      details p { font-size: var(--t-fine); }
      @container (max-width: 43rem) {
        .c { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); padding: 8px 12px; }
        .became { grid-column: 1 / -1; grid-row: 2; display: flex; gap: 8px; align-items: center; }
        .says { grid-column: 1 / -1; }
      }
    `,
  ];

  @property({ attribute: false }) row!: CodeRow;
  /** Where the step is read; '' = nowhere to go. */
  @property() href = '';
  /** Sentences that explain it in one tap. */
  @property({ attribute: false }) offers: readonly string[] = [];
  /** Why whoever is signed in can not explain it, as a sentence; '' = can. */
  @property() barred = '';
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  private folded = false;
  @state() private explaining = false;

  override willUpdate(changed: Map<PropertyKey, unknown>): void {
    const before = changed.get('row') as CodeRow | undefined;
    if (!before || before.explained?.event === this.row.explained?.event) return;
    this.folded = this.explaining;
    this.explaining = false;
  }

  /** What was written down folds its form up; the hand stays where it was. */
  override updated(): void {
    if (this.folded) this.renderRoot.querySelector<HTMLElement>('.says .key')?.focus();
    this.folded = false;
  }

  override render(): TemplateResult {
    const { code, change } = this.row;
    const there = { before: change !== 'new' && change !== 'there', after: change !== 'gone' && change !== 'before' };
    return html`<div class="c">
      <div class="was"><span class="unseen">Before: </span>${there.before ? this.code(change === 'gone', !there.after) : absent(change === 'there' ? 'not read' : 'not there')}</div>
      <div class="became">${changeLine(change)}<span>${CHANGES[change]}</span></div>
      <div class="is"><span class="unseen">After: </span>${there.after ? this.code(false, true) : absent(change === 'before' ? 'not read yet' : 'not there')}</div>
      <div class="says"><h3 class="unseen">${code}</h3>${this.says()}</div>
    </div>`;
  }

  private code(struck: boolean, told: boolean): TemplateResult {
    const { code, kept, modules } = this.row;
    const of = [modules.map((id) => moduleTitle({ id, text: id })).join(', '), kept.join(', ')].filter(Boolean);
    return html`<span class="code ${struck ? 'struck' : ''}">${code}</span>${told && of.length > 0 ? html`<p class="kept soft">${of.join('; ')}</p>` : nothing}`;
  }

  private says(): TemplateResult {
    const { row, now } = this;
    const { meaning, explained, holds, step, change } = row;
    const meant = [meaning.says, meaning.typeSays].filter((text) => text !== null);
    const rest = restOf(row);
    return html`<p>${meant.length > 0 ? sentence(meant.join('; ')) : html`<span class="soft">No meaning on file, so none is given.</span>`} ${rest ? sentence(rest) : ''}</p>
      ${explained ? html`<p><span class="pen">${explained.because}</span> <span class="soft">${explained.by}, ${clock(explained.at, now)}</span></p>` : nothing}
      ${step ? this.step() : nothing}
      ${holds ? html`<p class="strong"><b>Holds the car.</b> Put it right and read again, or explain it.</p>` : nothing}
      ${holds || (row.unexplained && change !== 'gone') || explained ? this.explain() : nothing}
      ${meaning.sources.length > 0 ? html`<details><summary>Who says so</summary>${meaning.sources.map((source) => html`<p>${source}</p>`)}</details>` : nothing}`;
  }

  private step(): TemplateResult {
    const { step } = this.row;
    if (!step) return html``;
    const words = html`<lb-bolt plain .stage=${step.stage} .safety=${step.safety}></lb-bolt><span>${step.title}, ${stageWord(step.stage).toLowerCase()}</span>`;
    return this.href ? html`<a class="step" href=${this.href}>${words}</a>` : html`<p class="step">${words}</p>`;
  }

  private explain(): TemplateResult {
    const { code, holds, explained } = this.row;
    const { barred } = this;
    if (this.explaining && !barred) return html`<lb-explain .about=${{ code }} .offers=${this.offers}></lb-explain>`;
    const words = explained ? 'Explain it otherwise' : 'Tie it to a work line, or explain it';
    return html`<div class="keys"><button type="button" class="key ${holds && !barred ? 'full' : ''}" aria-disabled=${barred ? 'true' : 'false'} aria-label="${words}: ${code}" @click=${() => barred || ((this.explaining = true))}>${words}</button></div>
      ${barred ? html`<p class="soft">${barred}</p>` : nothing}`;
  }
}

function absent(text: string): TemplateResult {
  return html`<span class="soft">${text}</span>`;
}

/** The sentence of the comparison without what the line and the person's own words say already. */
function restOf({ says, explained }: CodeRow): string {
  const whole = explained ? says.replace(explained.because, '') : says;
  return whole
    .split('; ')
    .slice(1)
    .filter((part) => part.trim() !== '')
    .join('; ');
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-code-row': CodeLine;
  }
}
