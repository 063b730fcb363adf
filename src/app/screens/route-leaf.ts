import '../../../components/change/tear-line.ts';
import '../../../components/left/last-left.ts';
import '../../../components/drive/drive-legs.ts';
import '../../../components/plate/plate.ts';
import '../../../components/route/route-picture.ts';
import '../../../components/step/step-row.ts';
import '../../../components/stop/stop-row.ts';
import { html, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { minutesText, sentence } from '../../../components/sheet/time.ts';
import { reasons } from '../../../components/step/reasons.ts';
import type { Answered } from '../../../components/question/answered.ts';
import type { Checklist, Step, Undecided } from '../../checklist.ts';
import type { Stage } from '../../job/state.ts';
import type { JobFile } from '../../resolve/facts.ts';
import { answer, setWorkDone } from '../job.ts';
import { byQuestion, itemOf, openQuestions, stageOf, stepsOf } from '../plan.ts';
import { linkTo, linkToDrive } from '../routes.ts';
import { itemSays } from '../item-says.ts';
import { cardLegs, pictured, say, type Stop, stops } from '../stops.ts';
import { Leaf, leaf } from './leaf.ts';
import { opened } from './opened.ts';
import { route } from './route-leaf.styles.ts';
import './why-not.ts';

/** A car that stood for longer is told about as if another had it in hand (common practice, no source). */
const STOOD_MS = 30 * 60_000;

/** Leaf 4: the route sheet. Steps in order, grouped by set-up, tear lines saying what to change between. */
@customElement('lb-route-leaf')
export class RouteLeaf extends Leaf {
  static override styles = [sheet, key, leaf, route];

  @property({ attribute: false }) whyNot!: (job: JobFile) => Promise<Checklist['excluded']>;

  private toldOf = '';
  private strange = false;

  /** As in the styles: from here on the opened step stands beside the list. */
  private readonly wide = matchMedia('(min-width: 1000px)');

  override render(): TemplateResult {
    const steps = stepsOf(this.planned, 'later');
    const all = stops(steps, this.planned.list?.drives ?? [], this.rulebook);
    const here = this.here(steps);
    return html`${this.brief(steps)} ${this.left()}
      <lb-route-picture class="screen" .stops=${pictured(all, this.planned.job.ro)}></lb-route-picture>
      <div class="body ${here ? 'opened' : ''}">
        ${steps.length === 0 ? html`<p class="none">Nothing follows from this work.</p>` : nothing}
        <ol aria-label="Route">${all.map((stop, i) => this.stop(stop, here, i === all.length - 1))}</ol>
        ${this.rings()} ${this.perhaps()}
        <div class="after"><lb-why-not .planned=${this.planned} .rulebook=${this.rulebook} .whyNot=${this.whyNot}></lb-why-not><lb-missing .planned=${this.planned} .rulebook=${this.rulebook} .person=${this.person}></lb-missing></div>
      </div>`;
  }

  /** The step under the hand: beside the list there is always room for one, so the next is drawn if none was opened. */
  private here(steps: readonly Step[]): string {
    const next = steps.find(({ id }) => !isSettled(stageOf(this.planned, id))) ?? steps[0];
    const chosen = steps.find(({ id }) => id === this.step) ?? (this.wide.matches ? next : undefined);
    return chosen?.id ?? '';
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void missing();
    this.wide.addEventListener('change', this.resized);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.wide.removeEventListener('change', this.resized);
  }

  private readonly resized = (): void => this.requestUpdate();

  override updated(changed: PropertyValues<this>): void {
    if (!changed.has('step') || !this.step || this.wide.matches) return;
    const place = this.renderRoot.querySelector('.inplace');
    if (!place) return;
    // The row that was tapped gives way to the step: the hand must find itself there, wherever another one folded up.
    place.querySelector<HTMLElement>('.siding')?.focus({ preventScroll: true });
    const { top } = place.getBoundingClientRect();
    if (top < 0 || top > window.innerHeight * 0.6) place.scrollIntoView({ block: 'start' });
  }

  /** Whoever comes to a car that somebody else had in hand, or that stood, is told first what it was left like. */
  private left(): TemplateResult | typeof nothing {
    const { sight, record } = this.planned;
    if (!sight || !record || sight.job.status !== 'open') return nothing;
    if (this.toldOf !== sight.job.ro) {
      this.toldOf = sight.job.ro;
      const { last } = this;
      this.strange = last !== undefined && (last.by !== this.person || Date.now() - Date.parse(last.at) > STOOD_MS);
    }
    const left = html`<lb-last-left .sight=${sight} .rulebook=${this.rulebook} .now=${Date.now()}></lb-last-left>`;
    if (this.strange) return html`<div class="as-left screen">${left}</div>`;
    return html`<details class="as-left screen"><summary>What the car is left like</summary>${left}</details>`;
  }

  private get last(): { readonly at: string; readonly by: string } | undefined {
    const { record } = this.planned;
    return record?.queue.at(-1) ?? record?.events.at(-1);
  }

  private brief(steps: readonly Step[]): TemplateResult {
    const { list, job } = this.planned;
    const time = list?.time;
    const questions = openQuestions(this.planned).length;
    const safety = steps.filter((step) => step.safety).length;
    const counted = `${steps.length} ${steps.length === 1 ? 'step' : 'steps'}${safety > 0 ? `, ${safety} of them safety` : ''}.`;
    const total =
      time && time.total > 0
        ? ` ${minutesText(time.hands)} with hands, ${minutesText(time.changes)} changing the car, ${minutesText(time.waiting)} waiting.`
        : '';
    return html`<div class="brief screen">
      <p>${counted}${total}</p>
      ${questions > 0 ? html`<a class="alone" href=${linkTo(job.ro, 'car')}>${questions} ${questions === 1 ? 'question' : 'questions'} open</a>` : nothing}
      ${job['work-done'] ? nothing : html`<button class="key" @click=${() => this.change(setWorkDone(job, true))}>The work is done</button>`}
      ${steps.length > 0 ? html`<button class="key" @click=${() => window.print()}>Print the sheet</button>` : nothing}
    </div>`;
  }

  private stop(stop: Stop, here: string, isLastStop: boolean): TemplateResult {
    const change = stop.changes.length > 0;
    return html`${change ? html`<li><lb-tear-line .changes=${stop.changes} .minutes=${stop.changeMinutes}></lb-tear-line></li>` : nothing}
      <li><lb-stop-row .letter=${stop.letter} .name=${stop.name} .time=${stop.minutes > 0 ? minutesText(stop.minutes) : ''} .setup=${stop.glyphs}></lb-stop-row></li>
      ${stop.drive ? html`<li><lb-drive-legs .legs=${cardLegs(stop.drive.drive, stop.steps, this.planned.numbers)} .minutes=${stop.drive.drive.minutes} .saved=${stop.drive.drive.saved} .owner=${stop.steps.every(({ finish }) => finish === 'owner')} .href=${linkToDrive(this.planned.job.ro, stop.drive.number)}></lb-drive-legs></li>` : nothing}
      ${stop.steps.map((step, i) => this.row(step, step.id === here, isLastStop && i === stop.steps.length - 1))}`;
  }

  private row(step: Step, here: boolean, last: boolean): TemplateResult {
    const { numbers, job } = this.planned;
    return html`<li class=${here ? 'here' : ''}>
        <lb-step-row
          .number=${numbers.get(step.id) ?? 0}
          .name=${step.title}
          .say=${itemSays(itemOf(this.planned, step.id), numbers) ?? say(step, numbers)}
          .stage=${stageOf(this.planned, step.id)}
          .href=${linkTo(job.ro, 'route', here ? undefined : step.id)}
          .safety=${step.safety}
          .opened=${here}
          .last=${last && !here}
        ></lb-step-row>
      </li>
      ${here ? html`<li class="inplace"><div class="siding" tabindex="0" role="region" aria-label="The opened step" @lb-answered=${this.answered}>${opened(step.id, this.planned, this.rulebook, this.turns(step), this)}</div></li>` : nothing}`;
  }

  /** From the opened step to its neighbours; beside the list it needs no folding up. */
  private turns(step: Step): TemplateResult {
    const steps = stepsOf(this.planned, 'later');
    const at = steps.findIndex(({ id }) => id === step.id);
    const key = (other: Step | undefined, before: string, behind: string) =>
      other
        ? html`<a class="key" href=${linkTo(this.planned.job.ro, 'route', other.id)}>${before}${this.planned.numbers.get(other.id)} ${other.title}${behind}</a>`
        : nothing;
    return html`<div class="turns" slot="acts">
      ${key(steps[at - 1], '‹ ', '')} ${key(steps[at + 1], '', ' ›')}
      <a class="key fold" href=${linkTo(this.planned.job.ro, 'route')}>Fold it up</a>
    </div>`;
  }

  private readonly answered = ({ question, value }: Answered): void =>
    this.change(answer(this.planned.job, question, value));

  private rings(): TemplateResult[] {
    return (this.planned.list?.cycles ?? []).map(
      ({ text }) => html`<p class="ring"><b>In the maker's order.</b> ${sentence(text)}</p>`,
    );
  }

  private perhaps(): TemplateResult | typeof nothing {
    const groups = byQuestion(this.planned);
    if (groups.length === 0) return nothing;
    return html`<section class="perhaps">
      <h2>Perhaps, until somebody looks</h2>
      ${groups.map(
        ({ question, items }) => html`<div class="chain maybe">
          <a class="alone" href=${linkTo(this.planned.job.ro, 'car')}>${question}</a>
          <ul>${items.map((item) => html`<li>${undecided(item)}</li>`)}</ul>
        </div>`,
      )}
    </section>`;
  }
}

/** Said now and then, and not before the list is there: fetched behind it. */
function missing(): Promise<unknown> {
  return import('./missing.ts').catch(() => undefined);
}

function isSettled(stage: Stage): boolean {
  return stage === 'took' || stage === 'not-done';
}

function undecided({ title, safety, because }: Undecided): TemplateResult {
  return html`${safety ? html`<lb-plate flat></lb-plate>` : nothing}
    <details><summary>${title}</summary><p>${reasons(because, 2)}</p></details>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-route-leaf': RouteLeaf;
  }
}
