import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Cause } from '../../src/job/comeback/comeback.ts';
import type { CauseKind } from '../../src/job/comeback/standing.ts';
import { choice } from '../keys/choice.ts';
import { Said, type Saying } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital } from '../sheet/time.ts';
import { acts } from '../acts/acts.styles.ts';
import { KINDS } from './words.ts';

/** A step of the job it came back from. */
export interface OldStep {
  readonly followUp: string;
  readonly title: string;
}

/**
 * What had brought the car back, once it is known: the cause that was tested, another step of that job, or something
 * else in words.
 * @fires lb-said
 */
@customElement('lb-outcome')
export class OutcomeForm extends LitElement {
  static override styles = [sheet, key, blank, acts, css`.key { justify-content: flex-start; text-align: start; }`];

  /** The cause that a test showed; left out: none of those told. */
  @property({ attribute: false }) cause: Pick<Cause, 'id' | 'title' | 'kind'> | undefined = undefined;
  @property({ attribute: false }) steps: readonly OldStep[] = [];
  @state() private step = '';
  @state() private kind: CauseKind = 'never-done';
  @state() private wrong = '';
  @query('textarea') private readonly words!: HTMLTextAreaElement;

  override render(): TemplateResult {
    const { cause, step } = this;
    return html`<div class="form">
      ${cause ? html`<p><b>${cause.title}:</b> ${KINDS[cause.kind]}.</p>` : this.another()}
      <label><span class="label">${cause || step ? 'More about it, if there is more' : 'What it was'}</span><textarea rows="2" maxlength="2000"></textarea></label>
      <div role="alert">${this.wrong ? html`<p class="strong">${this.wrong}</p>` : nothing}</div>
      <div><button type="button" class="key full" @click=${this.send}>Write down what it was</button></div>
    </div>`;
  }

  private another(): TemplateResult | typeof nothing {
    if (this.steps.length === 0) return nothing;
    const kinds = Object.entries(KINDS)
      .filter(([kind]) => kind !== 'elsewhere')
      .map(([value, text]) => ({ value, text: capital(text) }));
    return html`<label><span class="label">Another step of that job, or none of them</span>
        <select @change=${(event: Event) => (this.step = (event.target as HTMLSelectElement).value)}>
          <option value="">no missed step</option>
          ${this.steps.map(({ followUp, title }) => html`<option value=${followUp} ?selected=${followUp === this.step}>${title}</option>`)}
        </select></label>
      ${this.step ? choice('What became of that step', kinds, [this.kind], (kind) => (this.kind = kind as CauseKind)) : nothing}`;
  }

  private readonly send = (): void => {
    const note = this.words.value.trim();
    const { cause, step, kind } = this;
    const said = cause
      ? { cause: cause.kind, ...(cause.kind === 'elsewhere' ? {} : { followUp: cause.id }) }
      : step
        ? { cause: kind, followUp: step }
        : { cause: 'elsewhere' as const };
    // A cause of the table has a name of its own; any other is known only by the words.
    const told = note || (cause?.kind === 'elsewhere' ? cause.title : '');
    this.wrong = said.cause === 'elsewhere' && !told ? 'Say in a few words what it was.' : '';
    if (this.wrong) return;
    const saying: Saying = { type: 'outcome-told', ...said, ...(told ? { note: told } : {}) };
    this.dispatchEvent(new Said([saying]));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-outcome': OutcomeForm;
  }
}
