import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Sight } from '../../src/job/sight.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import '../bolt/bolt.ts';
import { choice } from '../keys/choice.ts';
import '../plate/plate.ts';
import { Said } from '../record/said.ts';
import { clock } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import '../stop/setup-glyphs.ts';

/**
 * For whoever comes back to a car: what was finished last, what the car was left like, and what no longer holds.
 * @fires lb-said
 */
@customElement('lb-last-left')
export class LastLeft extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      .left { border: 4px solid var(--ink); background: var(--paper); padding: 10px 14px 14px; }
      .row { display: grid; grid-template-columns: 44px minmax(0, 1fr); gap: 4px 10px; align-items: center; padding: 4px 0; line-height: 1.25; }
      .row lb-bolt { width: 44px; height: 44px; }
      .must { border-left: 10px solid var(--ink); padding: 4px 0 4px 10px; margin-top: 8px; line-height: 1.25; }
      .must li + li { margin-top: 6px; }
      lb-setup-glyphs { font-size: var(--t-body); }
      .keys { margin-top: 8px; }
      .key { min-height: 54px; }
      .dimension { margin-top: 10px; }
      .dimension h4 { margin: 0; font-size: var(--t-body); font-weight: 750; }
      label { margin-top: 10px; }
      input { min-height: 54px; margin-top: 3px; }
    `,
  ];

  @property({ attribute: false }) sight!: Sight;
  /** The one that the job is pinned to. */
  @property({ attribute: false }) rulebook!: Pick<Rulebook, 'setups' | 'states'>;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  @state() private saying = false;
  @state() private setup: Readonly<Record<string, string>> = {};

  override render(): TemplateResult {
    return html`<section class="left" aria-labelledby="name">
      <h2 id="name">As the car was left</h2>
      ${this.last()} ${this.like()} ${this.mustNots()} ${this.lapsed()}
      ${this.saying ? this.form() : this.keys()}
    </section>`;
  }

  private last(): TemplateResult {
    const { lastStep } = this.sight.job;
    if (!lastStep) return html`<p>No step is finished yet.</p>`;
    const item = this.sight.items.find(({ id }) => id === lastStep.step);
    return html`<div class="row">
      <lb-bolt plain stage="took" .safety=${item?.safety ?? false}></lb-bolt>
      <p>Finished last: <b>${item?.title ?? capital(lastStep.step.replaceAll('-', ' '))}</b>, <span class="pen">${clock(lastStep.at, this.now)} ${lastStep.by}</span></p>
    </div>`;
  }

  private like(): TemplateResult {
    const { setUpLeft } = this.sight.job;
    if (!setUpLeft) return html`<p>Nobody said what it is set up like.</p>`;
    const said = Object.entries(setUpLeft.setup).map(([dimension, value]) => ({
      id: `${dimension}:${value}`,
      text: this.words(dimension, value),
    }));
    return html`<p>Left at <span class="pen">${clock(setUpLeft.at, this.now)}</span> by <span class="pen">${setUpLeft.by}</span> with:</p>
      <lb-setup-glyphs .setup=${said}></lb-setup-glyphs>
      ${setUpLeft.note ? html`<p class="pen">${setUpLeft.note}</p>` : nothing}`;
  }

  private words(dimension: string, value: string): string {
    const row = this.rulebook.setups.dimensions[dimension];
    return `${row?.title ?? dimension} ${row?.values[value]?.title ?? value}`;
  }

  /** What may hurt somebody who does not know of it stands before everything else that is said. */
  private mustNots(): TemplateResult | typeof nothing {
    const { mustNots } = this.sight;
    if (mustNots.length === 0) return nothing;
    return html`<div class="must"><lb-plate flat></lb-plate><ul>${mustNots.map(
      ({ title, since, endedBy }) =>
        html`<li><b>${sentence(title)}</b> Since <span class="pen">${clock(since.at, this.now)} ${since.by}</span>. ${endedBy.length > 0 ? `Ended by: ${endedBy.map((by) => by.title).join(', ')}.` : 'No step of this list ends it.'}</li>`,
    )}</ul></div>`;
  }

  private lapsed(): TemplateResult | typeof nothing {
    const { lapsed } = this.sight.job;
    const again = this.sight.items.filter((item) => item.again !== undefined);
    if (lapsed.size === 0 && again.length === 0) return nothing;
    const states = [...lapsed.keys()].map((id) => this.rulebook.states.get(id)?.title ?? id.replaceAll('-', ' '));
    return html`<div class="must">
      ${states.length > 0 ? html`<p><b>Holds no longer:</b> ${states.join('; ')}.</p>` : nothing}
      ${again.length > 0 ? html`<p><b>To be done again:</b></p><ul>${again.map(({ title, again: because }) => html`<li>${title}: ${because}</li>`)}</ul>` : nothing}
    </div>`;
  }

  private keys(): TemplateResult | typeof nothing {
    if (this.sight.job.status !== 'open') return nothing;
    return html`<div class="keys">
      <button type="button" class="key" @click=${() => (this.saying = true)}>Say what it is left like now</button>
      <button type="button" class="key" @click=${() => this.dispatchEvent(new Said([{ type: 'night-passed' }]))}>It stood overnight</button>
    </div>`;
  }

  private form(): TemplateResult {
    const dimensions = Object.entries(this.rulebook.setups.dimensions);
    return html`<form @submit=${this.said}>
      ${dimensions.map(
        ([id, { title, values }]) =>
          html`<div class="dimension"><h4>${title}</h4>${choice(
            title,
            Object.entries(values).map(([value, row]) => ({ value, text: capital(row.title) })),
            this.setup[id] === undefined ? [] : [this.setup[id]],
            (value) => this.pick(id, value),
          )}</div>`,
      )}
      <label>What else is left in or on the car<input name="note" maxlength="2000" autocomplete="off" /></label>
      <div class="keys">
        <button class="key full">It is left like that</button>
        <button type="button" class="key" @click=${() => (this.saying = false)}>Go back</button>
      </div>
    </form>`;
  }

  private pick(dimension: string, value: string): void {
    const { [dimension]: had, ...rest } = this.setup;
    this.setup = had === value ? rest : { ...rest, [dimension]: value };
  }

  private readonly said = (event: Event): void => {
    event.preventDefault();
    const field = (event.currentTarget as HTMLFormElement).elements.namedItem('note') as HTMLInputElement;
    const note = field.value.trim();
    // Nothing said is no saying.
    if (!note && Object.keys(this.setup).length === 0) return field.focus();
    this.dispatchEvent(new Said([{ type: 'set-up-left', setup: this.setup, ...(note ? { note } : {}) }]));
    this.saying = false;
    this.setup = {};
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-last-left': LastLeft;
  }
}
