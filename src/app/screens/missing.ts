import '../../../components/part-search/part-search.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Sought, Taken } from '../../../components/part-search/part-search.ts';
import { Said, type Saying } from '../../../components/record/said.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { sentence } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { Planned } from '../plan.ts';
import type { Search } from '../search.ts';

/** What may be searched by and noted at the most. */
const MOST_WORDS = 2000;

/**
 * "An item is missing here": found by name, or said in words where the rulebook has no such item. For the keeper of the
 * rules; it puts nothing on the list.
 * @fires lb-said
 */
@customElement('lb-missing')
export class Missing extends LitElement {
  static override styles = [sheet, key];

  @property({ attribute: false }) planned!: Planned;
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Name of whoever is signed in. */
  @property() person = '';
  @state() private opened = false;
  @state() private sought = '';
  @state() private search: Search | undefined;

  override render(): TemplateResult | typeof nothing {
    const job = this.planned.sight?.job;
    if (!job) return nothing;
    const notes = job.itemNotes.filter(({ was }) => was === 'missing');
    return html`<div class="screen">
      ${notes.map(
        ({ step, note, by, event }) =>
          html`<p><b>Noted as missing:</b> ${sentence([step && this.titleOf(step), note].filter(Boolean).join(', '))} ${by}. ${by === this.person ? html`<button type="button" class="key" @click=${() => this.say({ type: 'item-note-struck', noted: event })}>Take the note back</button>` : nothing}</p>`,
      )}
      <button type="button" class="key" aria-expanded=${this.opened ? 'true' : 'false'} @click=${this.turn}>${this.opened ? 'Put it away' : 'An item is missing here'}</button>
      ${this.opened ? this.form() : nothing}
    </div>`;
  }

  private form(): TemplateResult {
    const words = this.sought.trim();
    const here = new Set(this.planned.sight?.items.map(({ followUp }) => followUp));
    const hits = words && this.search ? this.search.find(words, 6).filter(({ id }) => !here.has(id)) : [];
    return html`<lb-part-search label="What is missing" .words=${this.sought} .hits=${hits.slice(0, 4).map(({ id, title }) => ({ id, title, note: '' }))} nothing="No item of the rulebook by that name." @lb-sought=${(e: Sought) => (this.sought = e.words)} @lb-taken=${(e: Taken) => this.say({ type: 'item-noted', step: e.id, was: 'missing' })}></lb-part-search>
      ${words ? html`<div class="keys"><button type="button" class="key" @click=${() => this.say({ type: 'item-noted', was: 'missing', note: words.slice(0, MOST_WORDS) })}>Note it in these words</button></div>` : nothing}`;
  }

  private readonly turn = (): void => {
    this.opened = !this.opened;
    this.sought = '';
    if (this.opened && !this.search) void this.fetchSearch();
  };

  private async fetchSearch(): Promise<void> {
    const { searchFollowUps } = await import('../search.ts');
    this.search ??= searchFollowUps(this.rulebook);
  }

  private titleOf(step: string): string {
    return this.rulebook.followUps.get(step)?.title ?? step;
  }

  private say(saying: Saying): void {
    this.opened = false;
    this.dispatchEvent(new Said([saying]));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-missing': Missing;
  }
}
