import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Job } from '../../src/job/state.ts';
import { choice } from '../keys/choice.ts';
import { Said, type Saying } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { sentence } from '../sheet/time.ts';

/** What is commonly wrong with an item; each stands in the record as these words. */
const WRONG = [
  'this work does not call for it',
  'this car has none',
  'out of its order',
  'a figure or a text is wrong',
];

/**
 * "This item is wrong here", in one tap: for the keeper of the rules, and no say over the car. Why may be added, and the
 * note taken back by whoever made it.
 * @fires lb-said
 */
@customElement('lb-item-note')
export class ItemNote extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    css`
      :host { display: block; border-top: 2px solid var(--ink); padding: 8px 0; }
      p { line-height: 1.26; margin-bottom: 6px; }
      form { display: flex; flex-wrap: wrap; gap: 8px; align-items: flex-end; margin-top: 8px; }
      label { flex: 1 1 260px; }
      .keys { margin-top: 8px; }
      @media print { :host { display: none; } }
    `,
  ];

  @property({ attribute: false }) job!: Job;
  @property() step = '';
  /** Name of whoever is signed in. */
  @property() person = '';

  override render(): TemplateResult {
    const notes = this.job.itemNotes.filter(({ step, was }) => step === this.step && was === 'wrong');
    const own = notes.filter(({ by }) => by === this.person).at(-1);
    const others = notes.filter((note) => note !== own);
    return html`${others.map(({ by, note }) => html`<p>Noted as wrong here by ${by}${note ? `: ${sentence(note)}` : '.'}</p>`)}
      <div aria-live="polite">${own ? html`<p><b>Noted for the keeper of the rules: wrong here.</b> ${own.note ? sentence(own.note) : 'Why, if there is time:'}</p>` : nothing}</div>
      ${own ? this.noted(own) : html`<button type="button" class="key" @click=${() => this.say(this.wrong())}>Wrong on this list</button>`}`;
  }

  private noted({ event, note }: Job['itemNotes'][number]): TemplateResult {
    const again = (words: string) => this.say({ type: 'item-note-struck', noted: event }, this.wrong(words));
    return html`${
      note
        ? nothing
        : html`${choice(
            'Why it is wrong',
            WRONG.map((text) => ({ value: text, text: sentence(text).slice(0, -1) })),
            [],
            again,
          )}
          <form @submit=${(submitted: Event) => words(submitted, again)}>
            <label><span class="label">In other words</span><input name="words" required maxlength="2000" autocomplete="off" /></label>
            <button class="key">Add them</button>
          </form>`
    }
      <div class="keys"><button type="button" class="key" @click=${() => this.say({ type: 'item-note-struck', noted: event })}>Take the note back</button></div>`;
  }

  private wrong(note?: string): Saying {
    return { type: 'item-noted', step: this.step, was: 'wrong', ...(note ? { note } : {}) };
  }

  private say(...sayings: Saying[]): void {
    this.dispatchEvent(new Said(sayings));
  }
}

function words(event: Event, then: (words: string) => void): void {
  event.preventDefault();
  const form = event.currentTarget as HTMLFormElement;
  const said = (form.elements.namedItem('words') as HTMLInputElement).value.trim();
  if (said) then(said);
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-item-note': ItemNote;
  }
}
