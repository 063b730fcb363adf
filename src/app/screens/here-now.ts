import '../../../components/bolt/bolt.ts';
import '../../../components/plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { choice } from '../../../components/keys/choice.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { capital, minutesText } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { placesOf, type Ready, readyHere, readySteps, waitingHere } from '../now.ts';
import type { Planned } from '../plan.ts';
import { linkHere, linkTo } from '../routes.ts';
import { carName } from '../vehicle.ts';
import { leafOf } from './opened.ts';

/** More would not be read standing. */
const MOST = 10;

/** "What can I do here now": steps of all cars that could be begun where one stands, with what one has at hand. */
@customElement('lb-here-now')
export class HereNow extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      section { border-top: 4px solid var(--ink); padding: 14px 16px 20px; }
      h2 { margin-bottom: 8px; }
      h3 { margin: 18px 0 8px; font-size: var(--t-step); }
      .ask { display: grid; grid-template-columns: 150px minmax(0, 1fr); gap: 6px 14px; align-items: center; margin-bottom: 10px; }
      .ask .label { line-height: 1.2; }
      li { display: grid; grid-template-columns: 46px minmax(0, 1fr) auto; gap: 2px 12px; align-items: center; border-top: 2px solid var(--ink); padding: 8px 0; min-height: 68px; }
      li lb-bolt { width: 44px; height: 44px; }
      .name { font-size: var(--t-step); font-weight: 700; line-height: 1.18; }
      .name lb-plate { vertical-align: -7px; margin-right: 4px; }
      .say { line-height: 1.25; margin-top: 3px; }
      .none, .more { padding: 12px 0; border-top: 2px solid var(--ink); }
      @media (max-width: 700px) {
        .ask { grid-template-columns: minmax(0, 1fr); }
        li { grid-template-columns: 46px minmax(0, 1fr); }
        li .key { grid-column: 2; justify-self: start; }
      }
    `,
  ];

  @property({ attribute: false }) all: readonly Planned[] = [];
  @property({ attribute: false }) rulebook!: Rulebook;
  /** A value of the set-up dimension "place"; '' = anywhere. */
  @property() stand = '';
  @property({ attribute: false }) tools: readonly string[] = [];

  override render(): TemplateResult | typeof nothing {
    const ready = this.all.flatMap((planned) => readySteps(planned, this.rulebook));
    const waiting = this.all.flatMap((planned) => waitingHere(planned, this.rulebook, this.stand, this.tools));
    if (this.all.every(({ list }) => (list?.steps ?? []).length === 0)) return nothing;
    const here = readyHere(ready, this.stand, this.tools);
    return html`<section aria-labelledby="head">
      <h2 id="head">What can I do here now?</h2>
      ${this.stands()} ${this.hands()}
      <div aria-live="polite">
        ${here.length === 0 ? html`<p class="none">Nothing that waits for nothing else can be done here with that.</p>` : nothing}
        <ul aria-label="Steps that can be begun">${here.slice(0, MOST).map((one) => this.row(one))}</ul>
        ${here.length > MOST ? html`<p class="more">And ${here.length - MOST} more: say where you stand and what you have at hand.</p>` : nothing}
        ${waiting.length > 0 ? html`<h3>Belongs here too, but waits</h3><ul aria-label="Steps that wait">${waiting.slice(0, MOST).map((one) => this.row(one, true))}</ul>` : nothing}
      </div>
    </section>`;
  }

  private stands(): TemplateResult {
    const values = this.rulebook.setups.dimensions.place?.values ?? {};
    const wanted = new Set([...this.all.flatMap((planned) => placesOf(planned, this.rulebook)), this.stand]);
    const places = Object.entries(values).filter(([id]) => wanted.has(id));
    const options = [
      { value: '', text: 'Anywhere' },
      ...places.map(([value, { title }]) => ({ value, text: capital(title) })),
    ];
    return html`<div class="ask"><p class="label">I stand at</p>${choice('I stand at', options, [this.stand], (stand) => this.go(stand, this.tools))}</div>`;
  }

  private hands(): TemplateResult {
    const steps = this.all.flatMap(({ list }) => list?.steps ?? []);
    const wanted = new Set([...steps.map(({ tool }) => tool), ...this.tools]);
    const tools = Object.entries(this.rulebook.setups.tools).filter(([id]) => id !== 'none' && wanted.has(id));
    const options = tools.map(([value, { title, short }]) => ({ value, text: capital(short ?? title) }));
    const toggle = (tool: string) =>
      this.tools.includes(tool) ? this.tools.filter((other) => other !== tool) : [...this.tools, tool];
    if (options.length === 0) return html``;
    return html`<div class="ask"><p class="label">I have at hand</p>${choice('I have at hand', options, this.tools, (tool) => this.go(this.stand, toggle(tool)))}</div>`;
  }

  /** Where one stands is part of the address, so that going back comes to the same question. */
  private go(stand: string, tools: readonly string[]): void {
    location.replace(linkHere(stand, tools));
  }

  private row({ planned, step, place }: Ready, waits = false): TemplateResult {
    const { job, facts, numbers } = planned;
    const tool = this.rulebook.setups.tools[step.tool];
    const { hands, wait } = step.minutes;
    const forerunners = [...new Set(step.waitsFor.map((id) => numbers.get(id)).filter((one) => one !== undefined))];
    const held = !waits
      ? ''
      : forerunners.length > 0
        ? `waits for ${forerunners.sort((a, b) => a - b).join(', ')}`
        : 'waits until the work is done';
    const where = place ? this.rulebook.setups.dimensions.place?.values[place]?.title : '';
    const words = [
      held,
      hands > 0 ? minutesText(hands) : '',
      wait > 0 ? `${minutesText(wait)} to wait` : '',
      where
        ? `at the ${where}`.replace('at the road', 'on the road').replace('at the lift', 'on the lift')
        : 'wherever the car stands',
      step.tool !== 'none' && tool ? (tool.short ?? tool.title) : '',
    ].filter(Boolean);
    return html`<li>
      <lb-bolt plain .safety=${step.safety}></lb-bolt>
      <div>
        <p class="name">${step.safety ? html`<lb-plate flat></lb-plate>` : nothing}<span class="pen">${numbers.get(step.id)}</span> ${step.title}</p>
        <p class="say"><span class="pen">${job.ro}</span> ${carName(job, facts, this.rulebook)}. ${capital(words.join(', '))}.</p>
      </div>
      <a class="key" href=${linkTo(job.ro, leafOf(step), step.id)}>Go to it<span class="unseen">: ${step.title}, ${job.ro}</span></a>
    </li>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-here-now': HereNow;
  }
}
