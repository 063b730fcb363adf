import { stageWord } from '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import '../../../components/route/route-picture.ts';
import { html, nothing, type TemplateResult } from 'lit';
import { customElement } from 'lit/decorators.js';
import { choice } from '../../../components/keys/choice.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { sentence } from '../../../components/sheet/time.ts';
import { speaking } from '../../../components/step/speaks.ts';
import type { Answered } from '../../../components/question/answered.ts';
import type { Step } from '../../checklist.ts';
import { answer, answerOf, setWorkDone } from '../job.ts';
import { itemSays } from '../item-says.ts';
import { itemOf, stageOf, stepsOf } from '../plan.ts';
import { linkTo } from '../routes.ts';
import { pictured, stops } from '../stops.ts';
import { carName } from '../vehicle.ts';
import { before } from './before-leaf.styles.ts';
import { Leaf, leaf } from './leaf.ts';
import { opened } from './opened.ts';

const WRITTEN = new Set(['record', 'inspection']);

/** Leaf 3: what must happen before the work, each with the harm if it is forgotten. A tag to hang on the mirror. */
@customElement('lb-before-leaf')
export class BeforeLeaf extends Leaf {
  static override styles = [sheet, key, leaf, before];

  override render(): TemplateResult {
    const steps = stepsOf(this.planned, 'before');
    const written = steps.filter((step) => WRITTEN.has(this.kind(step)));
    const set = steps.filter((step) => !WRITTEN.has(this.kind(step)));
    return html`<div class="wrap">
        <section class="tag" aria-label="Before you start">
          ${this.hang()}
          <div class="col"><h2>Read and write down</h2>${this.items(written, 'Nothing has to be read or written down first.')}</div>
          <div class="col"><h2>Set the car, then wait</h2>${this.items(set, 'Nothing has to be set on the car first.')}</div>
        </section>
        ${this.afterwards()}
      </div>
      ${this.foot(steps)}`;
  }

  /** What awaits the car when the work is done. */
  private afterwards(): TemplateResult | typeof nothing {
    const { list, job } = this.planned;
    const all = stops(stepsOf(this.planned, 'later'), list?.drives ?? [], this.rulebook);
    if (all.length === 0) return nothing;
    return html`<section class="ahead"><h2>What comes after the work</h2><lb-route-picture .stops=${pictured(all, job.ro)}></lb-route-picture></section>`;
  }

  private kind(step: Step): string {
    return this.rulebook.followUps.get(step.followUp)?.text.kind ?? '';
  }

  private hang(): TemplateResult {
    const { job } = this.planned;
    return html`<div class="hang">
      <svg class="hole" viewBox="0 0 126 90" aria-hidden="true">
        <path d="M-16 31H29.3A36 36 0 1 1 29.3 57H-16z" fill="var(--bench)" />
        <path d="M-14 31H29.3A36 36 0 1 1 29.3 57H-14" fill="none" stroke="currentColor" stroke-width="4" />
      </svg>
      <div><p class="ro">${job.ro}</p><b>Hang on the mirror</b></div>
      <p class="soft">${carName(job, this.planned.facts, this.rulebook)}</p>
    </div>`;
  }

  private items(steps: readonly Step[], none: string): TemplateResult {
    if (steps.length === 0) return html`<p class="none">${none}</p>`;
    return html`<ul>${steps.map((step) => html`<li>${this.item(step)}${step.id === this.step ? html`<div class="inplace" @lb-answered=${this.answered}>${opened(step.id, this.planned, this.rulebook, nothing, this)}</div>` : nothing}</li>`)}</ul>`;
  }

  private readonly answered = ({ question, value }: Answered): void =>
    this.change(answer(this.planned.job, question, value));

  private item(step: Step): TemplateResult {
    const { ro } = this.planned.job;
    const isOpen = step.id === this.step;
    return html`<div class="item">
      <lb-bolt plain .stage=${stageOf(this.planned, step.id)} .safety=${step.safety}></lb-bolt>
      <div>
        ${step.safety ? html`<lb-plate flat></lb-plate>` : nothing}
        <h3><span class="pen">${this.planned.numbers.get(step.id)}</span>&ensp;${step.title}</h3>
        ${this.became(step)} ${this.harm(step)}
        <a class="alone" href=${linkTo(ro, 'before', isOpen ? undefined : step.id)} aria-expanded=${isOpen ? 'true' : 'false'}>${isOpen ? 'Fold it up' : 'How, and why'}<span class="unseen">: ${step.title}</span></a>
        ${step.asked ? this.wasItDone(step) : nothing}
      </div>
    </div>`;
  }

  private became(step: Step): TemplateResult | typeof nothing {
    const says = itemSays(itemOf(this.planned, step.id), this.planned.numbers);
    return says ? html`<p><b>${stageWord(stageOf(this.planned, step.id))}.</b> ${says}</p>` : nothing;
  }

  private harm(step: Step): TemplateResult | typeof nothing {
    const followUp = this.rulebook.followUps.get(step.followUp);
    const { facts } = this.planned;
    if (!followUp || !facts) return nothing;
    const [first] = speaking(followUp.text.skipped, { known: facts.car, domains: this.rulebook.domains });
    return first ? html`<p><b class="label">Or else</b> ${goesOn(sentence(first.notice))}</p>` : nothing;
  }

  private wasItDone(step: Step): TemplateResult {
    const options = [
      { value: 'yes', text: 'Yes' },
      { value: 'no', text: 'No' },
      { value: 'cannot-tell', text: "Can't tell" },
    ];
    const question = `done:${step.followUp}`;
    const told = answerOf(this.planned.job, question);
    const given = told === undefined ? [] : [told ?? 'cannot-tell'];
    const pick = (value: string) =>
      this.change(
        answer(this.planned.job, question, given.includes(value) ? undefined : value === 'cannot-tell' ? null : value),
      );
    return html`<p class="label">The work is done. Was this done before it?</p>${choice(`${step.title}: was it done?`, options, given, pick)}`;
  }

  private foot(steps: readonly Step[]): TemplateResult {
    const { job } = this.planned;
    const done = job['work-done'] ?? false;
    const route = linkTo(job.ro, 'route');
    if (done) {
      const unsaid = steps.filter(({ asked }) => asked === 'open').length;
      const words =
        unsaid > 0
          ? `Of ${unsaid === 1 ? 'one' : unsaid} nobody has said whether it was done.`
          : 'All of these are answered.';
      return html`<div class="foot">
        <p>The work is done. ${steps.length > 0 ? words : ''}</p>
        <button class="key" @click=${() => this.change(setWorkDone(job, false))}>The work is not done after all</button>
        <a class="key main full" href=${route}>Route</a>
      </div>`;
    }
    return html`<div class="foot">
      <p>Tap when the parts are back on: then the sheet asks whether these were done, and shows what repairs one that was forgotten.</p>
      <button class="key" @click=${() => this.change(setWorkDone(job, true))}>The work is done</button>
      <a class="key main full" href=${route}>Route</a>
    </div>`;
  }
}

/** A sentence that goes on after "Or else": an abbreviation or a figure keeps its capital. */
function goesOn(text: string): string {
  return /^[A-Z](?![A-Z0-9])/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-before-leaf': BeforeLeaf;
  }
}
