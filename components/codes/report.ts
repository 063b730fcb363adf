import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { type FoundRow, readReport, type ReportRead, rowOf } from '../../src/job/codes/report.ts';
import type { Scan } from '../../src/job/state.ts';
import { moduleTitle } from '../../src/scan/find-modules.ts';
import { choice } from '../keys/choice.ts';
import { Said } from '../record/said.ts';
import { clock } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { codes } from './codes.styles.ts';

/**
 * The report of any tool, pasted or typed: what was found in it stands with the words it was found in, and each code is
 * ticked by a person before it is written down.
 * @fires lb-said
 */
@customElement('lb-report')
export class Report extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    codes,
    css`
      :host { container-type: inline-size; }
      .found { border-top: 2px solid var(--ink); }
      .found label { display: grid; grid-template-columns: 48px 7.5rem minmax(0, 1fr); gap: 2px 12px; align-items: center; min-height: 60px; padding: 6px 0; border-bottom: 2px solid var(--ink); cursor: pointer; }
      .found b { font: 650 1.3125rem/1.1 var(--pen); letter-spacing: -0.03em; }
      input[type='checkbox'] { appearance: none; width: 48px; min-height: 48px; height: 48px; padding: 0; border: 3px solid var(--touch); border-radius: 6px; background: var(--paper); display: grid; place-items: center; cursor: pointer; }
      input[type='checkbox']:checked { background: var(--touch); }
      input[type='checkbox']:checked::before { content: ''; width: 13px; height: 24px; border: solid var(--on-touch); border-width: 0 5px 5px 0; transform: rotate(40deg) translate(-2px, -3px); }
      .words { line-height: 1.24; overflow-wrap: anywhere; }
      .other { border: 4px solid var(--ink); padding: 10px 12px; }
      .vin { font: 650 var(--t-step) / 1.2 var(--pen); overflow-wrap: anywhere; }
      @container (max-width: 35rem) { .found label { grid-template-columns: 48px minmax(0, 1fr); } .found .words { grid-column: 2; } }
    `,
  ];

  @property() when: 'before' | 'after' = 'before';
  /** What is on record of that time. */
  @property({ attribute: false }) scan: Scan | undefined;
  @property() vin = '';
  /** Failure types that exist. */
  @property({ attribute: false }) types: ReadonlySet<string> = new Set();
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  @state() private text = '';
  @state() private ticked: ReadonlySet<string> = new Set();
  @state() private more: boolean | undefined;
  private made: { text: string; vin: string; types: ReadonlySet<string>; read: ReportRead } | undefined;
  @query('textarea') private readonly field!: HTMLTextAreaElement;

  override render(): TemplateResult {
    const read = this.read();
    const offered = offeredOf(read);
    return html`<div class="form">
      <label><span class="label">Report of the tool, pasted whole; or the codes, typed</span>
        <textarea rows="4" .value=${this.text} placeholder="P0420 C1234-54 ..." autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="400000" @input=${this.typed}></textarea>
      </label>
      ${read.otherCar ? another(read.otherCar) : this.found(read, offered)}
    </div>`;
  }

  private found(read: ReportRead, offered: readonly Offered[]): TemplateResult {
    const ticked = offered.filter(({ row }) => this.ticked.has(row.code));
    return html`<div aria-live="polite">
        ${this.text.trim() === '' ? nothing : html`<p><b>${foundText(read)}</b> ${offered.length > 0 ? 'Compare each with the report and tick it. What is not ticked is not taken.' : ''}</p>`}
        ${read.vins.length > 0 && !this.vin ? html`<p class="strong">The report names VIN <span class="pen">${read.vins[0]}</span>, and no VIN is written up: see that it is this car.</p>` : nothing}
        ${read.faults.map(({ line, text, message, hint }) => html`<p class="strong">Line ${line} <span class="pen">${text}</span> ${message}${hint ? `; ${hint}` : ''}. What it said is lost.</p>`)}
      </div>
      ${offered.length > 0 ? html`<div class="found" role="group" aria-label="Codes found in the report">${offered.map((one) => this.line(one))}</div>` : nothing}
      ${read.moreMaybe > 0 ? html`<p>And ${read.moreMaybe} more that may be codes: paste less at a time.</p>` : nothing}
      ${this.keep()}
      <div class="keys">${this.writeKey(offered, ticked)}</div>`;
  }

  private line({ row, because }: Offered): TemplateResult {
    const of = [row.modules.map((id) => moduleTitle({ id, text: id })).join(', '), row.kept.join(', ')].filter(Boolean);
    return html`<label>
      <input type="checkbox" .checked=${this.ticked.has(row.code)} @change=${() => this.tick(row.code)} />
      <b>${row.code}</b>
      <span class="words"><span class="pen">${row.line === null ? 'in the hex replies' : html`line ${row.line}: ${row.text}`}</span>${because ? html` <strong>${because}.</strong>` : nothing}${of.length > 0 ? html`<br /><span class="soft">${of.join('; ')}</span>` : nothing}</span>
    </label>`;
  }

  /** A second report may add to the first, one module after the other, or take its place. */
  private keep(): TemplateResult | typeof nothing {
    const { scan, now } = this;
    if (!scan) return nothing;
    const at = clock(scan.at, now);
    return choice(
      'What it is beside the reading on record',
      [
        { value: 'more', text: `More to the reading of ${at}` },
        { value: 'new', text: `A new reading in place of it` },
      ],
      this.more === undefined ? [] : [this.more ? 'more' : 'new'],
      (value) => (this.more = value === 'more'),
    );
  }

  private writeKey(offered: readonly Offered[], ticked: readonly Offered[]): TemplateResult {
    const first =
      this.scan && this.more === undefined
        ? 'First say what it is beside the reading on record'
        : offered.length > 0 && ticked.length === 0
          ? 'First tick the codes that are right'
          : '';
    const left = offered.length - ticked.length;
    const words =
      first ||
      (ticked.length === 0
        ? 'Read, and no code was there'
        : `Write down ${ticked.length} ${ticked.length === 1 ? 'code' : 'codes'}${left > 0 ? `, leave out ${left}` : ''}`);
    return html`<button type="button" class="key ${first ? '' : 'full'}" aria-disabled=${first ? 'true' : 'false'} @click=${() => first || this.write(ticked)}>${words}</button>`;
  }

  private readonly typed = (): void => {
    this.text = this.field.value;
    const known = new Set(offeredOf(this.read()).map(({ row }) => row.code));
    this.ticked = new Set([...this.ticked].filter((code) => known.has(code)));
  };

  /** A whole report is long: it is read once for each change of it, not once for each tick. */
  private read(): ReportRead {
    const { text, vin, types } = this;
    const had = this.made;
    if (had?.text === text && had.vin === vin && had.types === types) return had.read;
    this.made = { text, vin, types, read: readReport(text, types, vin || undefined) };
    return this.made.read;
  }

  private tick(code: string): void {
    const ticked = new Set(this.ticked);
    if (!ticked.delete(code)) ticked.add(code);
    this.ticked = ticked;
  }

  private write(ticked: readonly Offered[]): void {
    const kept = this.more ? (this.scan?.codes ?? []) : [];
    const same = (a: { code: string; module?: string | undefined }) => `${a.code} ${a.module ?? ''}`;
    const read = new Map([...kept, ...ticked.flatMap(({ row }) => row.read)].map((one) => [same(one), one]));
    this.dispatchEvent(
      new Said([{ type: 'scanned', when: this.when, codes: [...read.values()].map((one) => ({ ...one })) }]),
    );
    this.text = '';
    this.ticked = new Set();
    this.more = undefined;
  }
}

interface Offered {
  readonly row: FoundRow;
  /** Why it may be something else. */
  readonly because: string;
}

function offeredOf({ rows, maybe }: ReportRead): Offered[] {
  const doubtful = new Map(
    maybe.map(({ code, typed, because, line }) => [
      code,
      { row: rowOf(code, [], [], line, typed), because: `Perhaps: it ${because}` },
    ]),
  );
  return [...rows.map((row) => ({ row, because: '' })), ...doubtful.values()];
}

function foundText({ rows, maybe }: ReportRead): string {
  if (rows.length === 0) return maybe.length === 0 ? 'No code in it.' : 'No code in it for certain.';
  return rows.length === 1 ? 'One code in it.' : `${rows.length} codes in it.`;
}

function another({ report, job }: { readonly report: string; readonly job: string }): TemplateResult {
  return html`<div class="other" role="alert">
    <p><b>This report is of another car.</b> Nothing of it is taken.</p>
    <p>The report says <span class="vin">${report}</span></p>
    <p>This job is of <span class="vin">${job}</span></p>
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-report': Report;
  }
}
