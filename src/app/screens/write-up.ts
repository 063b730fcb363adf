import '../../../components/part-search/part-search.ts';
import '../../../components/vin/vin-boxes.ts';
import '../../../components/work-line/line-maker.ts';
import '../../../components/work-line/work-line.ts';
import { css, html, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { PartSearch, Sought, Taken } from '../../../components/part-search/part-search.ts';
import { blank, key, sheet } from '../../../components/sheet/sheet.styles.ts';
import type { VinBoxes, VinTyped } from '../../../components/vin/vin-boxes.ts';
import type { VinRead } from '../../../components/camera/vin-camera.ts';
import type { LineMade } from '../../../components/work-line/line-maker.ts';
import type { LineChanged } from '../../../components/work-line/work-line.ts';
import { addLine, changeLine, setCodes } from '../job.ts';
import { linkTo } from '../routes.ts';
import type { Found, Search } from '../search.ts';
import { readTyped, setVin } from '../vehicle.ts';
import { carFields } from './car-fields.ts';
import './codes-field.ts';
import type { CodesWritten } from './codes-field.ts';
import { follows } from './follows.ts';
import { Fetched } from './fetched.ts';
import { Leaf, leaf } from './leaf.ts';
import './job-keys.ts';
import { vinSays, wrongPlaces } from './vin-says.ts';

const LATER = {
  camera: () => import('../../../components/camera/vin-camera.ts'),
  pasted: () => import('../../../components/pasted/pasted-lines.ts'),
} as const;

/** Leaf 1: whose car, and what was done to it. */
@customElement('lb-write-up')
export class WriteUp extends Leaf {
  static override styles = [
    sheet,
    key,
    blank,
    leaf,
    css`
      .vin { display: flex; gap: 6px 28px; align-items: flex-end; flex-wrap: wrap; }
      .says { flex: 1 1 300px; line-height: 1.25; }
      .fields { display: grid; grid-template-columns: repeat(auto-fit, minmax(132px, 1fr)); gap: 8px 12px; }
      .fields input, .fields select { font-size: 1.125rem; padding-left: 9px; }
      .fields select { padding-right: 34px; }
      .fields .wide { grid-column: span 2; }
      .lines { border-top: 3px solid var(--ink); margin-bottom: 14px; }
      .paste { margin-top: 14px; }
      .none { padding: 10px 0; }
    `,
  ];

  /** What stands in the boxes while it is typed: the sheet is planned anew only with a whole VIN. */
  /** The camera is held to a plate. */
  @state() private looking = false;
  /** Lines of an order are pasted. */
  @state() private pasting = false;
  private readonly fetched = new Fetched(LATER, () => this.requestUpdate());
  @state() private typed: string | undefined;
  @state() private words = '';
  @state() private hits: readonly Found[] = [];
  /** Numbers that have a sheet already. */
  @property({ attribute: false }) taken: readonly string[] = [];
  @state() private sought: string | undefined;
  @query('lb-part-search') private readonly searchField!: PartSearch | null;
  @query('lb-vin-boxes') private readonly vinField!: VinBoxes | null;
  private search: Search | undefined;

  override firstUpdated(): void {
    const { work, vehicle } = this.planned.job;
    const field = this.vinField;
    if (field && work.length === 0 && !vehicle?.vin) void field.updateComplete.then(() => field.focus());
  }

  override render(): TemplateResult {
    const { job } = this.planned;
    const typed = this.typed ?? job.vehicle?.vin ?? '';
    const vin = readTyped(typed, job, this.rulebook);
    return html`<section class="band vin" aria-label="The car">
        <lb-vin-boxes .value=${typed} .wrong=${wrongPlaces(vin)} @lb-vin-typed=${this.typeVin} @focusout=${this.keepVin}></lb-vin-boxes>
        ${this.camera()}
        <div class="says" aria-live="polite">${vinSays(vin, this.planned, this.rulebook)}</div>
      </section>
      <section class="band" aria-label="What the papers say">${carFields(this.planned, this.rulebook, (next) => this.change(next))}</section>
      <div class="halves">
        <section>${this.adding()}<div class="paste">${this.pasted()}</div></section>
        <section>${this.lines()}${follows(this.planned, this.rulebook, (next) => this.change(next))}</section>
      </div>
      <section class="band" aria-label="Codes on arrival"><lb-codes-field .codes=${job.codes?.before ?? []} @lb-codes-written=${this.writeCodes}></lb-codes-field></section>
      ${this.planned.record ? nothing : html`<section class="band" aria-label="This sheet"><lb-job-keys .ro=${job.ro} .taken=${this.taken}></lb-job-keys></section>`}
      <div class="foot">
        <p>${this.footWords()}</p>
        <a class="key main full" href=${linkTo(job.ro, 'car')}>What has this car?</a>
      </div>`;
  }

  /** The camera is fetched only when somebody holds it to a plate. */
  private camera(): TemplateResult {
    if (!this.looking)
      return html`<button type="button" class="key" @click=${() => (this.looking = true)}>Read it with the camera</button>`;
    if (!this.fetched.has('camera')) return html`<p role="status">The camera is being fetched.</p>`;
    return html`<lb-vin-camera @lb-vin-read=${this.readVin}></lb-vin-camera>
      <button type="button" class="key" @click=${() => (this.looking = false)}>Put the camera away</button>`;
  }

  private readonly readVin = ({ vin }: VinRead): void => {
    this.looking = false;
    this.typed = vin;
    this.keepVin();
  };

  private adding(): TemplateResult {
    const part = this.sought ? this.rulebook.parts.get(this.sought) : undefined;
    return html`<h2>Put a line on</h2>
      <lb-part-search
        label="What was worked on?"
        placeholder="part, or as the desk calls it"
        .words=${this.words}
        .hits=${part ? [] : this.hits.map(({ id, title, aka }) => ({ id, title, note: aka.split(', ').slice(0, 3).join(', ') }))}
        nothing="No part by that name. Try another word for it."
        @lb-sought=${(e: Sought) => void this.seek(e.words)}
        @lb-taken=${(e: Taken) => this.take(e.id)}
      ></lb-part-search>
      ${part ? html`<lb-line-maker .entry=${part} @lb-line-made=${this.putOn} @lb-line-left=${() => this.startOver()}></lb-line-maker>` : nothing}`;
  }

  /** What reads a pasted order is fetched only when somebody has one to paste. */
  private pasted(): TemplateResult {
    if (!this.pasting)
      return html`<button type="button" class="key" @click=${() => (this.pasting = true)}>Paste the order's lines</button>`;
    if (!this.fetched.has('pasted')) return html`<p role="status">Being fetched.</p>`;
    const { work, vehicle } = this.planned.job;
    return html`<lb-pasted-lines .rulebook=${this.rulebook} .market=${vehicle?.market} .sheet=${work} @lb-line-made=${this.add}></lb-pasted-lines>`;
  }

  private lines(): TemplateResult {
    const { work } = this.planned.job;
    return html`<h2>Work lines</h2>
      <div class="lines">
        ${work.length === 0 ? html`<p class="none soft">None yet.</p>` : nothing}
        ${repeat(
          work,
          (line, i) => `${i}/${line.part}`,
          (line, i) =>
            html`<lb-work-line .line=${line} .index=${i} .entry=${this.rulebook.parts.get(line.part)} @lb-line-changed=${this.changeLine}></lb-work-line>`,
        )}
      </div>`;
  }

  private footWords(): string {
    const { list, faults } = this.planned;
    if (faults.length > 0) return 'This sheet cannot be planned until what is said above is put right.';
    if (this.planned.job.work.length === 0)
      return 'Nothing goes on the sheet by itself: say what was done, line by line.';
    const steps = list?.steps.length ?? 0;
    const open = list?.undecided.length ?? 0;
    return `${steps} ${steps === 1 ? 'step follows' : 'steps follow'}${open > 0 ? `, ${open} more perhaps, until the car is looked at` : ''}.`;
  }

  private readonly typeVin = ({ text }: VinTyped): void => {
    this.typed = text;
    if (text.replaceAll(/[\s*-]/g, '').length === 17) this.keepVin();
  };

  private readonly keepVin = (): void => {
    const { typed } = this;
    this.typed = undefined;
    const { job } = this.planned;
    if (typed !== undefined && typed !== (job.vehicle?.vin ?? '')) this.change(setVin(job, typed));
  };

  private async seek(words: string): Promise<void> {
    this.words = words;
    this.sought = undefined;
    this.hits = this.search?.find(words) ?? [];
    if (this.search) return;
    const { searchParts } = await import('../search.ts');
    this.search ??= searchParts(this.rulebook);
    if (!this.sought) this.hits = this.search.find(this.words);
  }

  private take(id: string): void {
    this.sought = id;
    this.words = this.rulebook.parts.get(id)?.text.title ?? '';
  }

  private readonly putOn = (made: LineMade): void => {
    this.add(made);
    this.startOver();
  };

  private readonly add = ({ part, did, at }: LineMade): void => {
    this.change(
      addLine(this.planned.job, {
        part,
        did,
        ...(at.length > 0 ? { at: at.length === 1 ? (at[0] as string) : [...at] } : {}),
      }),
    );
  };

  private startOver(): void {
    this.words = '';
    this.sought = undefined;
    this.hits = [];
    this.searchField?.focus();
  }

  private readonly writeCodes = ({ codes }: CodesWritten): void => this.change(setCodes(this.planned.job, codes));

  private readonly changeLine = ({ index, line }: LineChanged): void => {
    this.change(changeLine(this.planned.job, index, line));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-write-up': WriteUp;
  }
}
