import '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { row } from '../../../components/route/route.styles.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { minutesText } from '../../../components/sheet/time.ts';
import type { JobFile } from '../../resolve/facts.ts';
import type { Book } from '../book.ts';
import { openQuestions, plan, type Planned, stepsOf } from '../plan.ts';
import { linkTo } from '../routes.ts';
import { stops } from '../stops.ts';
import { carName } from '../vehicle.ts';

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
      .strip { display: flex; flex-wrap: wrap; align-items: center; margin: 4px 0; background: linear-gradient(var(--ink), var(--ink)) 0 50% / 100% 3px no-repeat; width: fit-content; max-width: 100%; }
      .strip lb-bolt { width: 33px; height: 33px; }
      .square { border: 2.5px solid var(--ink); font: 800 1rem/22px var(--print); width: 26px; height: 26px; text-align: center; margin: 0 3px 0 5px; background: var(--paper); }
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

  @property({ attribute: false }) jobs: readonly JobFile[] = [];
  @property({ attribute: false }) book!: Book;

  override render(): TemplateResult {
    if (this.jobs.length === 0) return html`<p class="none">No car is in. Write one up.</p>`;
    return html`<ol aria-label="Cars, the last one touched first">
      ${repeat(this.jobs, ({ ro }) => ro, (job, i) => html`<li>${this.row(plan(job, this.book), i === this.jobs.length - 1)}</li>`)}
    </ol>`;
  }

  private row(planned: Planned, last: boolean): TemplateResult {
    const { job, list, faults } = planned;
    const steps = list?.steps ?? [];
    const safety = steps.filter((step) => step.safety).length;
    const questions = openQuestions(planned).length;
    const words = [
      steps.length === 1 ? '1 step open' : `${steps.length} steps open`,
      questions > 0 ? `${questions} ${questions === 1 ? 'question' : 'questions'} not answered` : '',
      job['work-done'] ? 'work done' : 'work not done yet',
    ];
    return html`<div class="r ${safety > 0 ? 'plated' : ''} ${last ? 'last' : ''}">
      <div class="m">${safety > 0 ? html`<lb-plate .count=${safety}></lb-plate>` : nothing}</div>
      <div class="k"><div class="tick"></div></div>
      <div class="t">
        <div class="when"><b>${faults.length > 0 ? 'held' : minutesText(list?.time.total ?? 0)}</b><span>${faults.length > 0 ? 'not understood' : 'still to do'}</span></div>
        <div class="what">
          <h2 class="name"><span class="pen">${job.ro}</span>&ensp;${carName(job, this.book)}</h2>
          ${this.strip(planned)}
          <p class="say">${words.filter(Boolean).join(', ')}.</p>
        </div>
        <div class="do"><a class="key" href=${linkTo(job.ro, job.work.length === 0 ? 'write-up' : 'route')}>Go on<span class="unseen"> with ${job.ro}</span></a></div>
      </div>
    </div>`;
  }

  private strip(planned: Planned): TemplateResult | typeof nothing {
    const all = stops(stepsOf(planned, 'later'), this.book.rulebook);
    if (all.length === 0) return nothing;
    return html`<div class="strip" aria-hidden="true">
      ${all.map(({ letter, steps }) => html`<span class="square">${letter}</span>${steps.map((step) => html`<lb-bolt plain .safety=${step.safety}></lb-bolt>`)}`)}
    </div>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-bay-sheet': BaySheet;
  }
}
