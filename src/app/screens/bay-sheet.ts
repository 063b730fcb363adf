import '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { PageFrame } from '../../../components/paper/page-frame.ts';
import { momentText } from '../../../components/papers/moment.ts';
import { row } from '../../../components/route/route.styles.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { minutesText, sentence, shortMinutes } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { openQuestions, type Planned, stageOf, stepsOf } from '../plan.ts';
import { type Leaf, linkTo } from '../routes.ts';
import { sooner, type Standing, standingOf } from '../standing.ts';
import { stops } from '../stops.ts';
import { carName } from '../vehicle.ts';
import './here-now.ts';

/** All cars in, each with its route in little. */
@customElement('lb-bay-sheet')
export class BaySheet extends LitElement {
  static override styles = [
    sheet,
    key,
    row,
    css`
      :host { --margin: 118px; }
      .r > .t { display: grid; grid-template-columns: 150px minmax(0, 1fr) auto; gap: 4px 14px; border-bottom: 2px solid var(--ink); padding: 12px 16px 12px 0; }
      .k { padding-top: 0; }
      .tick { width: 30px; height: 6px; background: var(--ink); margin-top: 24px; }
      .when b { display: block; font: 700 1.75rem/1.05 var(--pen); letter-spacing: -0.04em; }
      .when span { font-size: var(--t-fine); line-height: 1.15; color: var(--ink-2); display: block; margin-top: 4px; }
      h2.name { font-size: var(--t-step); font-weight: 700; }
      .parked { font: 500 1rem/1.2 var(--pen); margin-left: 14px; white-space: nowrap; }
      .strip { display: flex; flex-wrap: wrap; align-items: center; margin: 4px 0; }
      .strip > span { background: linear-gradient(var(--ink), var(--ink)) 0 50% / 100% 3px no-repeat; display: flex; }
      .strip lb-bolt { width: 33px; height: 33px; }
      .square { border: 2.5px solid var(--ink); font: 800 1rem/22px var(--print); font-style: normal; width: 26px; height: 26px; text-align: center; margin: 0 3px 0 5px; background: var(--paper); }
      .do { align-self: center; display: grid; gap: 4px; justify-items: stretch; text-align: center; }
      .who { font-size: var(--t-fine); color: var(--ink-2); }
      .nowline { margin: 10px 16px 2px var(--margin); padding: 8px 12px; background: var(--paint); color: var(--on-paint); border: 3px solid #12161a; line-height: 1.25; }
      .when .late { font-weight: 800; color: var(--ink); border-left: 6px solid var(--ink); padding-left: 6px; }
      .none { padding: 32px 16px; font-size: var(--t-step); }
      .head { display: none; }
      @media print {
        :host { display: block; font-size: 10pt; }
        .head { display: flex; justify-content: space-between; align-items: end; border-bottom: 3.5pt solid #000; padding-bottom: 2mm; }
        .head b { font-size: 21pt; line-height: 1; font-weight: 800; letter-spacing: -0.035em; display: block; }
        .nowline, lb-here-now, .do .key { display: none; }
        .r { break-inside: avoid; }
        .r > .t { grid-template-columns: 34mm minmax(0, 1fr) 30mm; padding: 2mm 0; }
        .what p { margin: 0; }
      }
      @media (max-width: 760px) {
        .r > .t { grid-template-columns: minmax(0, 1fr) auto; }
        .what { grid-column: 1 / -1; grid-row: 2; }
        .do { grid-column: 2; grid-row: 1; }
      }
      @media (max-width: 560px) { :host { --margin: 34px; } .r > .t { padding-right: 10px; } .when b { font-size: 1.375rem; } }
    `,
  ];

  @property({ attribute: false }) jobs: readonly Planned[] = [];
  @property({ attribute: false }) rulebook!: Rulebook;

  /** Where somebody stands and what he has at hand. */
  @property() stand = '';
  @property({ attribute: false }) tools: readonly string[] = [];

  @property() shop = '';
  protected readonly frame = new PageFrame(this, () => [this.shop, this.rulebook.version]);

  /** Milliseconds since 1970. */
  @property({ type: Number }) now = 0;
  /** Who has the hands on which step of a job. */
  @property({ attribute: false }) here: (ro: string) => readonly { readonly step: string; readonly person: string }[] =
    () => [];

  override render(): TemplateResult {
    if (this.jobs.length === 0) return html`<p class="none">No car is in. Write one up.</p>`;
    const cars = this.jobs
      .map((planned) => ({ planned, standing: standingOf(planned, this.here(planned.job.ro), this.now) }))
      .toSorted((a, b) => sooner(a.standing, b.standing));
    return html`<div class="head" aria-hidden="true"><div><b>Bay sheet</b>${this.shop}</div><span>printed ${momentText(this.now)}</span></div>
    <p class="nowline"><b>Now <span class="pen">${clock(this.now)}</span>.</b> Below: when each car can go if nobody stops. One that cannot go by itself stands first.</p>
    <ol aria-label="Cars, by when they can go">
      ${repeat(
        cars,
        ({ planned }) => planned.job.ro,
        ({ planned, standing }, i) => html`<li>${this.row(planned, standing, i === cars.length - 1)}</li>`,
      )}
    </ol>
    <lb-here-now .all=${this.jobs} .rulebook=${this.rulebook} .stand=${this.stand} .tools=${this.tools}></lb-here-now>`;
  }

  private row(planned: Planned, standing: Standing, last: boolean): TemplateResult {
    const { job } = planned;
    const known = planned.planned !== undefined;
    const safety = safetyOpen(planned);
    return html`<div class="r ${safety > 0 ? 'plated' : ''} ${last ? 'last' : ''}">
      <div class="m">${safety > 0 ? html`<lb-plate .count=${safety}></lb-plate>` : nothing}</div>
      <div class="k"><div class="tick"></div></div>
      <div class="t">
        <div class="when">${known ? html`${this.when(standing)}${this.promised(standing)}` : html`<span>being planned</span>`}</div>
        <div class="what">
          <h2 class="name"><span class="pen">${job.ro}</span>&ensp;${carName(job, planned.facts, this.rulebook)}${job.parked ? html`<span class="parked">in ${job.parked}</span>` : nothing}</h2>
          ${known ? html`${this.strip(planned)}<p class="say"><b>${standing.head}</b> ${standing.rest} ${this.words(planned)}</p>` : nothing}
        </div>
        <div class="do"><span class="who pen">${standing.who || (planned.record ? '' : 'nobody on it')}</span><a class="key" href=${linkTo(job.ro, leafFor(planned, standing))}>${KEYS[standing.kind]}<span class="unseen"> with ${job.ro}</span></a></div>
      </div>
    </div>`;
  }

  private when({ kind, minutes }: Standing): TemplateResult {
    if (kind === 'held') return html`<b>held</b><span>somebody must step in</span>`;
    if (kind === 'ready') return html`<b>ready</b><span>may be released</span>`;
    if (kind === 'check') return html`<b>check</b><span>waits for the foreman</span>`;
    if (kind === 'written') return html`<b>${shortMinutes(minutes)}</b><span>once it is begun</span>`;
    return html`<b>${clock(this.now + minutes * 60_000)}</b><span>at the earliest, ${minutesText(minutes)}</span>`;
  }

  private promised({ promised }: Standing): TemplateResult | typeof nothing {
    if (!promised) return nothing;
    const { time, late } = promised;
    const day = new Date(time).toDateString() === new Date(this.now).toDateString() ? '' : `${dayOf(time)} `;
    return html`<span class=${late ? 'late' : ''}>${late ? 'late: ' : ''}promised ${day}${clock(time)}</span>`;
  }

  private words(planned: Planned): string {
    const questions = openQuestions(planned).length;
    const words = [
      questions > 0 ? `${questions} ${questions === 1 ? 'question' : 'questions'} not answered` : '',
      planned.job['work-done'] ? '' : 'work not done yet',
    ].filter(Boolean);
    return words.length > 0 ? sentence(words.join(', ')) : '';
  }

  private strip(planned: Planned): TemplateResult | typeof nothing {
    const all = stops(stepsOf(planned, 'later'), planned.list?.drives ?? [], this.rulebook);
    if (all.length === 0) return nothing;
    return html`<div class="strip" aria-hidden="true">
      ${all.map(({ letter, steps }) => html`<span><i class="square">${letter}</i></span>${steps.map((step) => html`<span><lb-bolt plain .stage=${stageOf(planned, step.id)} .safety=${step.safety}></lb-bolt></span>`)}`)}
    </div>`;
  }
}

const KEYS: Readonly<Record<Standing['kind'], string>> = {
  written: 'Go on',
  held: 'Look at it',
  goes: 'Go on',
  check: 'Check it',
  ready: 'Release it',
};

function leafFor({ job }: Planned, { kind }: Standing): Leaf {
  if (job.work.length === 0) return 'write-up';
  return kind === 'check' || kind === 'ready' ? 'check' : 'route';
}

/** Safety items that still stand between the car and the road. */
function safetyOpen({ list, sight, record }: Planned): number {
  if (!sight || !record) return list?.steps.filter((step) => step.safety).length ?? 0;
  return new Set(sight.refusals.filter(({ safety }) => safety).map(({ item }) => item)).size;
}

function dayOf(ms: number): string {
  return new Date(ms).toLocaleDateString('en-GB', { weekday: 'short', day: 'numeric', month: 'short' });
}

/** The time of day, as on a clock in the shop. */
function clock(ms: number): string {
  return new Date(ms).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-bay-sheet': BaySheet;
  }
}
