import '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { row } from '../../../components/route/route.styles.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { shortMinutes } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { openQuestions, type Planned, stepsOf } from '../plan.ts';
import { linkTo } from '../routes.ts';
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
      .strip { display: flex; flex-wrap: wrap; align-items: center; margin: 4px 0; }
      .strip > span { background: linear-gradient(var(--ink), var(--ink)) 0 50% / 100% 3px no-repeat; display: flex; }
      .strip lb-bolt { width: 33px; height: 33px; }
      .square { border: 2.5px solid var(--ink); font: 800 1rem/22px var(--print); font-style: normal; width: 26px; height: 26px; text-align: center; margin: 0 3px 0 5px; background: var(--paper); }
      .do { align-self: center; }
      .none { padding: 32px 16px; font-size: var(--t-step); }
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

  override render(): TemplateResult {
    if (this.jobs.length === 0) return html`<p class="none">No car is in. Write one up.</p>`;
    return html`<ol aria-label="Cars, the last one touched first">
      ${repeat(
        this.jobs,
        ({ job }) => job.ro,
        (planned, i) => html`<li>${this.row(planned, i === this.jobs.length - 1)}</li>`,
      )}
    </ol>
    <lb-here-now .all=${this.jobs} .rulebook=${this.rulebook} .stand=${this.stand} .tools=${this.tools}></lb-here-now>`;
  }

  private row(planned: Planned, last: boolean): TemplateResult {
    const { job } = planned;
    const known = planned.planned !== undefined;
    const safety = planned.list?.steps.filter((step) => step.safety).length ?? 0;
    return html`<div class="r ${safety > 0 ? 'plated' : ''} ${last ? 'last' : ''}">
      <div class="m">${safety > 0 ? html`<lb-plate .count=${safety}></lb-plate>` : nothing}</div>
      <div class="k"><div class="tick"></div></div>
      <div class="t">
        <div class="when">${known ? this.when(planned) : html`<span>being planned</span>`}</div>
        <div class="what">
          <h2 class="name"><span class="pen">${job.ro}</span>&ensp;${carName(job, planned.facts, this.rulebook)}</h2>
          ${known ? html`${this.strip(planned)}<p class="say">${this.words(planned)}</p>` : nothing}
        </div>
        <div class="do"><a class="key" href=${linkTo(job.ro, job.work.length === 0 ? 'write-up' : 'route')}>Go on<span class="unseen"> with ${job.ro}</span></a></div>
      </div>
    </div>`;
  }

  private when({ faults, list }: Planned): TemplateResult {
    if (faults.length > 0) return html`<b>held</b><span>not understood</span>`;
    return html`<b>${shortMinutes(list?.time.total ?? 0)}</b><span>still to do</span>`;
  }

  private words(planned: Planned): string {
    const steps = planned.list?.steps.length ?? 0;
    const questions = openQuestions(planned).length;
    const words = [
      steps === 1 ? '1 step open' : `${steps} steps open`,
      questions > 0 ? `${questions} ${questions === 1 ? 'question' : 'questions'} not answered` : '',
      planned.job['work-done'] ? 'work done' : 'work not done yet',
    ];
    return `${words.filter(Boolean).join(', ')}.`;
  }

  private strip(planned: Planned): TemplateResult | typeof nothing {
    const all = stops(stepsOf(planned, 'later'), planned.list?.drives ?? [], this.rulebook);
    if (all.length === 0) return nothing;
    return html`<div class="strip" aria-hidden="true">
      ${all.map(({ letter, steps }) => html`<span><i class="square">${letter}</i></span>${steps.map((step) => html`<span><lb-bolt plain .safety=${step.safety}></lb-bolt></span>`)}`)}
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-bay-sheet': BaySheet;
  }
}
