import { stageWord } from '../bolt/bolt.ts';
import '../head/brand-mark.ts';
import '../plate/plate.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Step } from '../../src/checklist.ts';
import type { Stage } from '../../src/job/state.ts';
import type { KnownTrait } from '../../src/resolve/facts.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import type { CardLeg } from '../drive/legs.ts';
import { endOf } from '../papers/paper-head.ts';
import { momentText } from '../papers/moment.ts';
import { squareCode } from '../papers/square-code.ts';
import { sheet } from '../sheet/sheet.styles.ts';
import { capital, minutesText, placeText, sentence } from '../sheet/time.ts';
import { type Blank, blanks } from '../step/readings.ts';
import { reasons } from '../step/reasons.ts';
import { PageFrame } from './page-frame.ts';
import { paper } from './printed-sheet.styles.ts';

/** What is not settled, and the questions on which it hangs. */
interface Perhaps {
  readonly title: string;
  readonly safety: boolean;
  readonly hangsOn: readonly string[];
}

interface Stop {
  readonly letter: string;
  readonly name: string;
  readonly changes: readonly string[];
  readonly changeMinutes: number;
  readonly glyphs: readonly { readonly text: string }[];
  readonly steps: readonly Step[];
  /** Of a drive: what is read out on the way. */
  readonly legs?: readonly CardLeg[];
}

/** What has become of a step, for whoever reads the paper. */
export interface OnPaper {
  readonly stage: Stage;
  /** In a sentence; '' = nothing yet. */
  readonly says: string;
  readonly found: readonly string[];
  readonly doneBy: string;
  readonly checkedBy: string;
  /** ISO 8601. */
  readonly at: string | undefined;
}

/** The route sheet on paper: blanks to write in, room to sign, no keys. It stands on no screen. */
@customElement('lb-printed-sheet')
export class PrintedSheet extends LitElement {
  static override styles = [sheet, paper];

  @property() ro = '';
  @property() vin = '';
  @property() car = '';
  /** Day and time of printing, in words. */
  @property() date = '';
  @property({ attribute: false }) work: readonly string[] = [];
  @property({ attribute: false }) beforeWork: readonly Step[] = [];
  @property({ attribute: false }) stops: readonly Stop[] = [];
  @property({ attribute: false }) undecided: readonly Perhaps[] = [];
  @property({ attribute: false }) numbers: ReadonlyMap<string, number> = new Map();
  @property({ type: Number }) total = 0;
  /** Of the record; its last twelve characters are printed. */
  @property() hash = '';
  /** By step; one that is not here is open. */
  @property({ attribute: false }) became: ReadonlyMap<string, OnPaper> = new Map();
  @property({ attribute: false }) rulebook!: Rulebook;
  @property({ attribute: false }) known: ReadonlyMap<string, KnownTrait> = new Map();
  protected readonly frame = new PageFrame(this, () => [
    [this.ro, this.vin, this.date].filter(Boolean).join(' · '),
    this.rulebook.version,
  ]);

  override render(): TemplateResult {
    return html`<article>
      <header>
        <lb-brand-mark></lb-brand-mark>
        <div><p class="title">Route sheet</p>What the car must be told before it goes</div>
        <div class="right"><p class="ro">${this.ro}</p><b>Printed ${this.date}</b><br />${this.hash ? html`record ends <span class="pen">${endOf(this.hash)}</span>` : 'not on record yet'}</div>
        ${squareCode(this.ro)}
      </header>
      <div class="car">
        <p><b>${this.car}</b><br /><span class="pen">${this.vin || 'VIN not written'}</span></p>
        <p><b>Work</b> ${this.work.map(sentence).join(' ')}</p>
        <p><b>About ${minutesText(this.total)}</b><br />until it can go</p>
      </div>
      ${this.beforeWork.length > 0 ? html`<section><h2>Before you start</h2>${this.beforeWork.map((step) => this.step(step))}</section>` : nothing}
      ${this.stops.map((stop) => this.stop(stop))}
      ${this.undecided.length > 0 ? this.perhaps() : nothing}
      <p class="end">Outline only; the maker's procedure rules. A step without a name beside it is not done.</p>
    </article>`;
  }

  private stop({ letter, name, changes, changeMinutes, glyphs, steps, legs = [] }: Stop): TemplateResult {
    const change = html`<p class="tear"><span>${changes.map(sentence).join(' ')} ${changeMinutes > 0 ? minutesText(changeMinutes) : ''}</span></p>`;
    const [first, ...rest] = steps;
    return html`<section>
      <div class="together">
        ${changes.length > 0 ? change : nothing}
        <h2><span class="letter">${letter}</span>${name} <small>${glyphs.map(({ text }) => text).join(', ')}</small></h2>
        ${legs.length > 0 ? this.legs(legs) : nothing}
        ${first ? this.step(first) : nothing}
      </div>
      ${rest.map((step) => this.step(step))}
    </section>`;
  }

  private legs(legs: readonly CardLeg[]): TemplateResult {
    return html`<div class="drive">
      <p><b>One drive. The driver never handles the tablet or this sheet; a passenger reads. Local law and the traffic rule.</b></p>
      <ol>${legs.map(({ card, serves }) => html`<li>${capital(card.join(', '))}. For ${serves.map(({ number }) => number).join(', ')}.</li>`)}</ol>
    </div>`;
  }

  private step(step: Step): TemplateResult {
    const became = this.became.get(step.id);
    return became?.stage === 'took' ? this.done(step, became) : this.toDo(step, became);
  }

  /** What took needs no blanks any more: a line says what was found, by whom and when. */
  private done({ id, title, safety }: Step, { says, found, doneBy, checkedBy, at }: OnPaper): TemplateResult {
    return html`<div class="step">
      <lb-bolt plain stage="took" .safety=${safety}></lb-bolt>
      <div>
        <h3>${this.numbers.get(id)}&ensp;${title} ${safety ? html`<lb-plate flat></lb-plate>` : nothing}</h3>
        ${found.length > 0 ? html`<p class="pen">${found.join(', ')}</p>` : nothing}
      </div>
      <p class="pen">${doneBy ? `${doneBy}${at ? `, ${momentText(at)}` : ''}` : says}${checkedBy ? html`<br />checked by ${checkedBy}` : nothing}</p>
    </div>`;
  }

  private toDo(step: Step, became: OnPaper | undefined): TemplateResult {
    const followUp = this.rulebook.followUps.get(step.followUp);
    const way = followUp?.ways.find(({ id }) => id === step.way);
    const car = { known: this.known, domains: this.rulebook.domains };
    const values = [
      ...step.confirms.map(({ text }): Blank => ({ label: capital(text), unit: '', limits: [], choices: [] })),
      ...(step.minutes.ask ? [{ label: capital(step.minutes.ask), unit: 'min', limits: [], choices: [] }] : []),
      ...blanks(
        [...(way?.text.entry ?? []), ...(way?.text.proof ?? []), ...(followUp?.text.proof ?? [])],
        car,
        this.rulebook.makers,
      ),
    ];
    const boxes = step.boxes.length > 0 ? step.boxes.map((box) => capital(placeText(box))) : [''];
    const cautions = [...(way?.text.cautions ?? []), ...(followUp?.text.cautions ?? [])];
    return html`<div class="step">
      <lb-bolt plain .stage=${became?.stage ?? 'open'} .safety=${step.safety}></lb-bolt>
      <div>
        <h3>${this.numbers.get(step.id)}&ensp;${step.title} ${step.safety ? html`<lb-plate flat></lb-plate>` : nothing}${step.level === 'recommended' ? html`<small>recommended</small>` : nothing}</h3>
        ${became?.says ? html`<p class="pen"><b>${stageWord(became.stage)}.</b> ${became.says}</p>` : nothing}
        <p class="why">${reasons(step.because, 1)}${this.waits(step)}</p>
        <ol>${(way?.text.outline ?? []).map((line) => html`<li>${capital(line)}</li>`)}</ol>
        ${cautions.map((text) => html`<p class="caution"><b>Caution.</b> ${sentence(text)}</p>`)}
      </div>
      <div class="blanks">
        ${values.map(({ label, unit, limits, choices }) => html`<div class="blank"><span>${label}${[...limits, ...(choices.length > 0 ? [choices.join(' / ')] : [])].map((limit) => html`<br /><small>${limit}</small>`)}</span><span class="box">${unit}</span></div>`)}
        ${boxes.map((box) => html`<div class="sign"><span>${box ? `${box}: took, name` : 'Took, name'}</span><span>Time</span></div>`)}
      </div>
    </div>`;
  }

  private waits(step: Step): string {
    const numbers = [...new Set(step.waitsFor)]
      .map((id) => this.numbers.get(id))
      .filter((number) => number !== undefined)
      .sort((a, b) => a - b);
    return numbers.length > 0 ? ` Waits for ${numbers.join(', ')}.` : '';
  }

  private perhaps(): TemplateResult {
    return html`<section>
      <h2>Perhaps, until somebody looks</h2>
      ${this.undecided.map(
        ({ title, safety, hangsOn }) => html`<div class="step perhaps">
          <span></span>
          <div><h3>${title} ${safety ? html`<lb-plate flat></lb-plate>` : nothing}</h3><p class="why">${hangsOn.join(' ')}</p></div>
          <div class="blanks"><div class="sign"><span>Looked, name</span><span>Time</span></div></div>
        </div>`,
      )}
    </section>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-printed-sheet': PrintedSheet;
  }
}
