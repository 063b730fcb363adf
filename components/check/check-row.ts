import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { type CheckItem, NOTHING_LEFT } from '../../src/job/final-check.ts';
import { judgeReading, type Units } from '../../src/job/readings.ts';
import type { Job } from '../../src/job/state.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import '../bolt/bolt.ts';
import { byTheClock } from '../gate/says.ts';
import { choice } from '../keys/choice.ts';
import '../pad/number-pad.ts';
import type { Written } from '../pad/written.ts';
import '../plate/plate.ts';
import { Said } from '../record/said.ts';
import { row } from '../route/route.styles.ts';
import { clock } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital } from '../sheet/time.ts';
import { checkRow } from './check.styles.ts';
import { answerText } from './answer-text.ts';

/** A line of the final check is opened or put away. */
export class CheckTurned extends Event {
  static readonly type = 'lb-check-turned';
  constructor(readonly item: string) {
    super(CheckTurned.type, { bubbles: true, composed: true });
  }
}

/**
 * One thing that the foreman looks at. What the technician wrote shows once the foreman has written, so that it cannot
 * be copied.
 * @fires lb-check-turned
 * @fires lb-said
 */
@customElement('lb-check-row')
export class CheckRow extends LitElement {
  static override styles = [sheet, key, blank, row, checkRow];

  @property({ attribute: false }) item!: CheckItem;
  @property({ type: Number }) number = 0;
  /** As it is on record, if it still counts. */
  @property({ attribute: false }) done: ReturnType<Job['checks']['get']>;
  @property() units: Units = 'metric';
  /** Why whoever is signed in can not check it now, as a sentence; '' = can. */
  @property() barred = '';
  @property({ type: Boolean }) opened = false;
  @state() private failed: ReadingValue | undefined;
  @state() private sending = false;
  @state() private wrong = '';
  @query('textarea') private readonly because!: HTMLTextAreaElement | null;

  /** The first thing that a finger would touch in the opened line. */
  override focus(): void {
    const place = this.opened ? '.work lb-number-pad, .work .key' : '.cell .key';
    this.renderRoot.querySelector<HTMLElement>(place)?.focus();
  }

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('done')) this.toggleAttribute('done', this.done !== undefined);
    if (!changed.has('opened') || this.opened) return;
    this.failed = undefined;
    this.sending = false;
    this.wrong = '';
  }

  override render(): TemplateResult {
    const { item, done, number } = this;
    return html`<div class="r plated">
      <div class="m"><lb-plate></lb-plate></div>
      <div class="k"><lb-bolt plain safety .stage=${done ? 'took' : 'open'}></lb-bolt></div>
      <div class="t">
        <div class="what">
          <h3 class="name">${number}&ensp;${item.title}</h3>
          <div class="say">${capital(item.asked.label)}</div>
        </div>
        <div class="cell">${this.theirs()}</div>
        <div class="cell">${this.own()}</div>
        ${this.opened && !this.barred ? html`<div class="wide">${this.work()}</div>` : nothing}
      </div>
    </div>`;
  }

  private theirs(): TemplateResult {
    const { item, done } = this;
    const hands = item.hands.length > 0 ? item.hands.join(', ') : item.values.length > 0 ? 'On record' : '';
    if (item.values.length === 0) return html`<small>${hands}</small>`;
    if (!done && item.id !== NOTHING_LEFT) return html`<small>${hands}</small>after yours`;
    return html`<small>${hands}</small>${item.values.map((value) => html`<span class="wrote">${byTheClock(value, Date.now())}</span> `)}`;
  }

  private own(): TemplateResult {
    const { done, barred, opened, item } = this;
    if (done)
      return html`<small>${done.by}, ${clock(done.at, Date.now())}${done.independent ? '' : ', not independently'}</small><span class="wrote">${answerText(done.value, item.asked, this.units)}</span>`;
    if (barred) return html`<small>Foreman</small>${barred}`;
    return html`<small>Foreman</small><button type="button" class="key" aria-expanded=${opened ? 'true' : 'false'} @click=${this.turn}>${opened ? 'Put it away' : 'Check it'}<span class="unseen">: ${item.title}</span></button>`;
  }

  private work(): TemplateResult {
    if (this.sending) return this.sendBack();
    const { item, units } = this;
    const asks =
      item.asked.answer === 'number'
        ? html`<lb-number-pad .asked=${item.asked} .units=${units} @lb-written=${this.written}></lb-number-pad>`
        : choice(
            item.asked.label,
            item.asked.choices.map((value) => ({ value, text: capital(value) })),
            [],
            (value) => this.answer({ kind: 'choice', value }),
          );
    return html`<div class="work">
      <p class="paint">Look yourself, then write what you found.</p>
      ${asks}
      <div role="alert">${this.wrong ? html`<p class="against">${this.wrong}</p>` : nothing}</div>
      ${item.id === NOTHING_LEFT ? nothing : html`<div class="keys"><button type="button" class="key" @click=${() => this.send()}>Send it back</button></div>`}
    </div>`;
  }

  private sendBack(): TemplateResult {
    const { failed, item } = this;
    const found = failed ? `Found: ${answerText(failed, item.asked, this.units)}` : '';
    return html`<div class="work form">
      <p class="paint">It goes back to be done again.</p>
      ${this.wrong ? html`<p class="against" role="alert">${this.wrong}</p>` : nothing}
      <label><span class="label">What is not right</span><textarea rows="2" maxlength="2000" .value=${found}></textarea></label>
      <div class="keys">
        <button type="button" class="key full" @click=${this.sentBack}>Send it back</button>
        <button type="button" class="key" @click=${this.look}>Look again</button>
      </div>
    </div>`;
  }

  private readonly turn = (): void => {
    this.dispatchEvent(new CheckTurned(this.item.id));
  };

  private readonly written = (event: Written): void => {
    event.stopPropagation();
    this.answer(event.value);
  };

  private answer(value: ReadingValue): void {
    const { item } = this;
    const { verdict, text } = judgeReading(item.asked, value, this.units);
    if (verdict === 'passes') {
      this.wrong = '';
      this.dispatchEvent(new Said([{ type: 'checked', item: item.id, value }]));
    } else if (verdict === 'fails' && item.id !== NOTHING_LEFT) this.send(value, text);
    else this.wrong = item.id === NOTHING_LEFT ? 'Take it away, then look again.' : text;
  }

  private send(failed?: ReadingValue, wrong = ''): void {
    this.sending = true;
    this.failed = failed;
    this.wrong = wrong;
    // Not at once: the Enter that wrote the figure would fall into the field.
    void this.updateComplete.then(() => setTimeout(() => this.because?.focus()));
  }

  private readonly look = (): void => {
    this.sending = false;
    this.failed = undefined;
    this.wrong = '';
  };

  private readonly sentBack = (): void => {
    const because = this.because?.value.trim();
    if (because) this.dispatchEvent(new Said([{ type: 'sent-back', step: this.item.id, because }]));
    else this.wrong = 'Say in a few words what is not right.';
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-check-row': CheckRow;
  }
}
