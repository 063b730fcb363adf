import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { SeenItem } from '../../src/job/sight.ts';
import { choice, type Option } from '../keys/choice.ts';
import { Said, type Saying } from '../record/said.ts';
import { dayOf } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { acts } from './acts.styles.ts';

type NotDone = Extract<Saying, { type: 'not-done' }>['reason'];

/** Why a step is not done, in words. */
export const NOT_DONE: Readonly<Record<NotDone, string>> = {
  declined: 'The customer declined it',
  'no-tool': 'No tool for it',
  'part-missing': 'A part is missing',
  'does-not-fit': 'Does not fit this car',
};

const ASIDES = {
  'sent-out': 'Sent out',
  waiting: 'Waits for a part',
  'not-done': 'Not done',
  stuck: 'Stuck',
} as const;
type Aside = keyof typeof ASIDES;

/**
 * What else can become of a step, folded behind one key so that the step itself stays calm.
 * @fires lb-said
 */
@customElement('lb-other-things')
export class OtherThings extends LitElement {
  static override styles = [sheet, key, blank, acts];

  @property({ attribute: false }) item!: SeenItem;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  /** Only these are left: hands are barred, or somebody else has it. */
  @property({ attribute: false }) only: readonly Aside[] | undefined = undefined;
  @state() private aside: Aside | undefined;
  @state() private reason: NotDone | undefined;

  override willUpdate(changed: PropertyValues<this>): void {
    const before = changed.get('item');
    if (before && (before.id !== this.item.id || before.stage !== this.item.stage)) {
      this.aside = undefined;
      this.reason = undefined;
    }
  }

  override render(): TemplateResult {
    const offered = (Object.keys(ASIDES) as Aside[]).filter(
      (one) => (this.only?.includes(one) ?? true) && !(one === 'stuck' && this.item.stage === 'stuck'),
    );
    const options: Option[] = offered.map((value) => ({ value, text: ASIDES[value] }));
    return html`<details>
      <summary>Sent out, waiting, not done</summary>
      ${choice('What became of it', options, this.aside ? [this.aside] : [], (value) => {
        this.aside = this.aside === value ? undefined : (value as Aside);
      })}
      ${this.form()}
    </details>`;
  }

  private form(): TemplateResult | typeof nothing {
    const today = dayOf(this.now);
    switch (this.aside) {
      case 'sent-out':
        return html`<form @submit=${this.send}>
          <label>To which firm<input name="firm" required maxlength="200" autocomplete="off" /></label>
          <label>On<input name="on" type="date" required .value=${today} max=${today} /></label>
          <p>It comes back only with the paper of that firm, photographed.</p>
          <button class="key full">It is sent out</button>
        </form>`;
      case 'waiting':
        return html`<form @submit=${this.wait}>
          <label>For which part<input name="part" required maxlength="200" autocomplete="off" /></label>
          <label>Promised for<input name="promised" type="date" required min=${today} /></label>
          <button class="key full">It waits</button>
        </form>`;
      case 'stuck':
        return html`<form @submit=${this.stick}>
          <label>What is in the way<textarea name="why" rows="2" required maxlength="2000"></textarea></label>
          <button class="key full">It is stuck</button>
        </form>`;
      case 'not-done':
        return this.leaving();
      default:
        return nothing;
    }
  }

  private leaving(): TemplateResult {
    const reasons = Object.entries(NOT_DONE).map(([value, text]) => ({ value, text }));
    return html`<form @submit=${this.leave}>
      ${choice('Why it is not done', reasons, this.reason ? [this.reason] : [], (value) => {
        this.reason = value as NotDone;
      })}
      <label>More about it, if there is more<textarea name="note" rows="2" maxlength="2000"></textarea></label>
      ${this.item.safety ? html`<p class="strong"><b>Safety item.</b> The car does not go with it open unless the customer signs for it.</p>` : nothing}
      <button class="key full" aria-disabled=${this.reason ? 'false' : 'true'}>${this.reason ? 'It is not done' : 'First say why'}</button>
    </form>`;
  }

  private readonly send = (event: Event): void => {
    const { firm, on } = read(event, 'firm', 'on');
    if (firm && on) this.say({ type: 'sent-out', step: this.item.id, firm, on });
  };

  private readonly wait = (event: Event): void => {
    const { part, promised } = read(event, 'part', 'promised');
    if (part && promised) this.say({ type: 'waiting', step: this.item.id, part, promised });
  };

  private readonly stick = (event: Event): void => {
    const { why } = read(event, 'why');
    if (why) this.say({ type: 'stuck', step: this.item.id, why });
  };

  private readonly leave = (event: Event): void => {
    const { note } = read(event, 'note');
    const { reason } = this;
    if (reason) this.say({ type: 'not-done', step: this.item.id, reason, ...(note ? { note } : {}) });
  };

  private say(saying: Saying): void {
    this.dispatchEvent(new Said([saying]));
  }
}

function read<K extends string>(event: Event, ...names: K[]): Record<K, string> {
  event.preventDefault();
  const { elements } = event.currentTarget as HTMLFormElement;
  const told = names.map((name) => [name, (elements.namedItem(name) as HTMLInputElement).value.trim()]);
  return Object.fromEntries(told) as Record<K, string>;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-other-things': OtherThings;
  }
}
