import '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import { row } from '../../../components/route/route.styles.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { shortMinutes } from '../../../components/sheet/time.ts';
import type { JobFile } from '../../resolve/facts.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { alreadyPlanned, openQuestions, plan, type Planned, stepsOf } from '../plan.ts';
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

  @property({ attribute: false }) jobs: readonly JobFile[] = [];
  @property({ attribute: false }) rulebook!: Rulebook;

  private next = 0;

  override render(): TemplateResult {
    if (this.jobs.length === 0) return html`<p class="none">No car is in. Write one up.</p>`;
    return html`<ol aria-label="Cars, the last one touched first">
      ${repeat(
        this.jobs,
        ({ ro }) => ro,
        (job, i) => html`<li>${this.row(job, i === this.jobs.length - 1)}</li>`,
      )}
    </ol>`;
  }

  /** One job is planned a frame, so that the sheet answers to the finger however many cars are in. */
  override updated(): void {
    if (this.next !== 0) return;
    const waiting = this.jobs.find((job) => !alreadyPlanned(job, this.rulebook));
    if (!waiting) return;
    this.next = requestAnimationFrame(() => {
      this.next = 0;
      plan(waiting, this.rulebook);
      this.requestUpdate();
    });
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    cancelAnimationFrame(this.next);
    this.next = 0;
  }

  private row(job: JobFile, last: boolean): TemplateResult {
    const planned = alreadyPlanned(job, this.rulebook);
    const safety = planned?.list?.steps.filter((step) => step.safety).length ?? 0;
    return html`<div class="r ${safety > 0 ? 'plated' : ''} ${last ? 'last' : ''}">
      <div class="m">${safety > 0 ? html`<lb-plate .count=${safety}></lb-plate>` : nothing}</div>
      <div class="k"><div class="tick"></div></div>
      <div class="t">
        <div class="when">${planned ? this.when(planned) : html`<span>being planned</span>`}</div>
        <div class="what">
          <h2 class="name"><span class="pen">${job.ro}</span>&ensp;${carName(job, planned?.facts, this.rulebook)}</h2>
          ${planned ? html`${this.strip(planned)}<p class="say">${this.words(planned)}</p>` : nothing}
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
    const all = stops(stepsOf(planned, 'later'), this.rulebook);
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
