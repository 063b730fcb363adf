import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Door } from '../../src/job/exchange.ts';
import type { Person } from '../../src/job/people.ts';
import '../head/brand-mark.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { sentence } from '../sheet/time.ts';
import { type PinTyped, SignedIn } from './events.ts';
import './first-foreman.ts';
import { people } from './people.styles.ts';
import './pin-pad.ts';
import type { PinPad } from './pin-pad.ts';
import { rolesText } from './roles.ts';

export { FirstMade, SignedIn } from './events.ts';

/** A message of the same words twice is taken away this long, so that it is heard again. */
const HUSH_MS = 400;

/**
 * Who is it? The people of the shop as keys, then the PIN. Where nobody works yet: the first foreman.
 * @fires lb-signed-in
 * @fires lb-first-made
 */
@customElement('lb-sign-in')
export class SignIn extends LitElement {
  static override styles = [sheet, key, blank, people];

  @property({ attribute: false }) door: Door | undefined;
  /** The sheet beneath is only locked. */
  @property({ type: Boolean }) again = false;
  /** Why the last PIN was not taken. */
  @property() says = '';
  @state() private picked: string | undefined;
  @state() private hushed = false;
  @query('lb-pin-pad') private readonly pad!: PinPad | null;
  private hush: ReturnType<typeof setTimeout> | undefined;

  override willUpdate(changed: PropertyValues<this>): void {
    // Whoever was here is the likeliest to come back; another is one tap away.
    if (changed.has('door') && this.picked === undefined) this.picked = this.door?.session?.person.id;
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearTimeout(this.hush);
  }

  override render(): TemplateResult {
    const { door } = this;
    if (!door)
      return html`<p class="against" role="alert">${(this.says && sentence(this.says)) || 'Asking the server who works here.'}</p>`;
    if (door.first) return html`<lb-first-foreman .says=${this.says}></lb-first-foreman>`;
    const here = door.people.filter(({ gone }) => !gone);
    const person = here.find(({ id }) => id === this.picked);
    return html`<section aria-labelledby="name">
      <div class="head"><lb-brand-mark></lb-brand-mark><div><h1 id="name">${this.again ? `Locked after ${minutes(door.locksAfter)}: who is it?` : 'Who is it?'}</h1>${door.shop}</div></div>
      <div class="columns">
        <div>
          <p>${this.again ? 'What was being done is kept. ' : ''}Touch your name, then type your PIN.</p>
          <ul class="who">${here.map((one) => html`<li>${this.nameKey(one)}</li>`)}</ul>
        </div>
        <div>
          <div role="alert">${this.says && !this.hushed ? html`<p class="against">${sentence(this.says)}</p>` : nothing}</div>
          ${person ? html`<lb-pin-pad .label=${`PIN of ${person.name}`} @lb-pin-typed=${this.typed}></lb-pin-pad>` : html`<p class="soft">The PIN comes after the name.</p>`}
          ${door.demo ? html`<p>A shop that is only shown: everybody here is invented, and every PIN is <b class="pen">${door.demo}</b>.</p>` : nothing}
        </div>
      </div>
    </section>`;
  }

  private nameKey(person: Person): TemplateResult {
    const picked = person.id === this.picked;
    return html`<button type="button" class="key" aria-pressed=${picked ? 'true' : 'false'} @click=${() => this.pick(person.id)}><span><b>${person.name}</b><small>${rolesText(person)}</small></span></button>`;
  }

  private pick(id: string): void {
    this.pad?.clear();
    this.picked = id;
    void this.updateComplete.then(async () => {
      await this.pad?.updateComplete;
      this.pad?.focus();
    });
  }

  private readonly typed = (event: PinTyped): void => {
    event.stopPropagation();
    if (!this.picked) return;
    this.hushed = true;
    clearTimeout(this.hush);
    this.hush = setTimeout(() => (this.hushed = false), HUSH_MS);
    this.dispatchEvent(new SignedIn(this.picked, event.pin));
  };
}

function minutes(count: number): string {
  return count === 1 ? 'a minute' : `${count} minutes`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-sign-in': SignIn;
  }
}
