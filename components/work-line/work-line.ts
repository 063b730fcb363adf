import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { JobFile } from '../../src/resolve/facts.ts';
import type { Part } from '../../src/rulebook/rulebook.ts';
import { choice } from '../keys/choice.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, placeText } from '../sheet/time.ts';
import { didText } from './line-maker.ts';

type Line = JobFile['work'][number];

/** A line on the sheet is to be something else; `undefined` = struck. */
export class LineChanged extends Event {
  static readonly type = 'lb-line-changed';
  constructor(
    readonly index: number,
    readonly line: Line | undefined,
  ) {
    super(LineChanged.type, { bubbles: true, composed: true });
  }
}

/**
 * One line of the repair order as it stands on the sheet. Asks where, if the part has places and nobody said.
 * @fires lb-line-changed
 */
@customElement('lb-work-line')
export class WorkLine extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      :host { border-bottom: 2px solid var(--ink); }
      .line { display: flex; flex-wrap: wrap; gap: 4px 12px; align-items: center; min-height: 64px; padding: 5px 0; }
      .what { flex: 1 1 200px; line-height: 1.22; }
      .what b { font-weight: 700; }
      .what p { color: var(--ink); }
      .where { padding: 0 0 8px; }
      .where .label { margin-bottom: 4px; }
    `,
  ];

  @property({ attribute: false }) line!: Line;
  @property({ type: Number }) index = 0;
  /** undefined: the rulebook in force does not know the part. */
  @property({ attribute: false }) entry: Part | undefined;

  override render(): TemplateResult {
    const { line, entry: part } = this;
    const title = part?.text.title ?? placeText(line.part);
    const at = [line.at ?? []].flat();
    const by = line.by ?? 'us';
    const words = [didText(line.did), at.map(placeText).join(' and '), by === 'us' ? 'by us' : `by ${by}`]
      .filter(Boolean)
      .join(', ');
    return html`<div class="line">
        <div class="what"><b>${title}</b><p>${words}</p>${line.note ? html`<p class="pen">${line.note}</p>` : nothing}</div>
        <div class="keys">
          <button type="button" class="key" aria-label="${title}: ${by === 'us' ? 'by another shop' : 'by us'}" @click=${() => this.setBy(by)}>${by === 'us' ? 'By another shop' : 'By us'}</button>
          <button type="button" class="key" aria-label="Strike ${title}" @click=${() => this.change(undefined)}>Strike</button>
        </div>
      </div>
      ${at.length === 0 && part?.text.at?.length ? this.where(title, part.text.at) : nothing}`;
  }

  private where(title: string, places: readonly string[]): TemplateResult {
    const options = places.map((place) => ({ value: place, text: capital(placeText(place)) }));
    return html`<div class="where"><p class="label">Where?</p>${choice(`${title}, where`, options, [], (at) => this.change({ ...this.line, at }))}</div>`;
  }

  private setBy(by: string): void {
    const { by: _by, ...rest } = this.line;
    this.change(by === 'us' ? { ...rest, by: 'another shop' } : rest);
  }

  private change(line: Line | undefined): void {
    this.dispatchEvent(new LineChanged(this.index, line));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-work-line': WorkLine;
  }
}
