import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { type Person, type Role, ROLES } from '../../src/job/people.ts';
import { choice } from '../keys/choice.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { type Changed, PersonAdded, PersonChanged } from './events.ts';
import { fieldText } from './fields.ts';
import { people } from './people.styles.ts';
import { pinFault } from './pin.ts';
import { ROLE_WORDS } from './roles.ts';

/**
 * Somebody new, or what becomes other of somebody. A PIN left empty stays as it is.
 * @fires lb-person-added
 * @fires lb-person-changed
 */
@customElement('lb-person-form')
export class PersonForm extends LitElement {
  static override styles = [sheet, key, blank, people];

  /** undefined = somebody new. */
  @property({ attribute: false }) person: Person | undefined = undefined;
  /** Only the PIN may be changed: one's own. */
  @property({ type: Boolean }) own = false;
  /** Whoever is signed in is this person: a new PIN is taken with the one so far. */
  @property({ type: Boolean }) self = false;
  @state() private roles: readonly Role[] = [];
  @state() private wrong = '';

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('person') || !this.hasUpdated) this.roles = this.person?.roles ?? ['technician'];
  }

  override focus(): void {
    this.renderRoot.querySelector<HTMLElement>('input')?.focus();
  }

  override render(): TemplateResult {
    const { person, own } = this;
    const options = ROLES.map((role) => ({ value: role, text: ROLE_WORDS[role].name }));
    const may = this.roles.map((role) => ROLE_WORDS[role].may).join('; ');
    return html`<form @submit=${this.submit} novalidate>
      ${
        own
          ? nothing
          : html`<label><span class="label">Name, as it stands on papers</span><input name="name" autocomplete="off" maxlength="200" .value=${person?.name ?? ''} /></label>
          <div><p class="label">Works as</p>${choice('Works as', options, this.roles, (role) => this.turn(role as Role))}<p class="soft">${may || 'Nothing yet: pick at least one.'}</p></div>`
      }
      ${
        this.self
          ? html`<label><span class="label">Your PIN so far</span><input name="old" type="password" inputmode="numeric" autocomplete="current-password" maxlength="8" /></label>`
          : nothing
      }
      <div class="two">
        <label><span class="label">${person ? 'New PIN, four to eight digits' : 'PIN, four to eight digits'}</span><input name="pin" type="password" inputmode="numeric" autocomplete="new-password" maxlength="8" /></label>
        <label><span class="label">The same PIN again</span><input name="again" type="password" inputmode="numeric" autocomplete="new-password" maxlength="8" /></label>
      </div>
      <div role="alert">${this.wrong ? html`<p class="against">${this.wrong}</p>` : nothing}</div>
      <div class="keys">
        <button class="key full">${person ? 'Keep it so' : 'Put on the list'}</button>
        ${person && !own ? this.goneKey(person) : nothing}
      </div>
    </form>`;
  }

  private goneKey({ id, gone }: Person): TemplateResult {
    const say = () => this.dispatchEvent(new PersonChanged(id, { gone: !gone }));
    return html`<button type="button" class="key" @click=${say}>${gone ? 'Works here again' : 'Works here no more'}</button>`;
  }

  private turn(role: Role): void {
    // In the order in which they stand, so that the same roles are always the same list.
    this.roles = ROLES.filter((one) => this.roles.includes(one) !== (one === role));
  }

  private readonly submit = (event: Event): void => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const of = (field: string) => fieldText(form, field);
    const [name, pin, again, old] = [of('name'), of('pin'), of('again'), this.self ? of('old') : ''];
    this.wrong =
      this.fault(name, pin, again) || (this.self && pin && !old ? 'Write the PIN that you have so far.' : '');
    if (this.wrong) return;
    if (!this.person) this.dispatchEvent(new PersonAdded(name, [...this.roles], pin));
    else this.change(this.person, name, pin, old);
  };

  private fault(name: string, pin: string, again: string): string {
    if (!this.own && !name) return 'Write the name.';
    if (!this.own && this.roles.length === 0) return 'Pick at least one that they work as.';
    if (this.person && !this.own && !pin && !again) return '';
    return pinFault(pin, again) ?? '';
  }

  private change({ id, ...was }: Person, name: string, pin: string, old: string): void {
    const changed: Changed = {
      ...(!this.own && name !== was.name ? { name } : {}),
      ...(!this.own && this.roles.join() !== was.roles.join() ? { roles: [...this.roles] } : {}),
      ...(pin ? { pin } : {}),
      ...(pin && old ? { old } : {}),
    };
    if (Object.keys(changed).length > 0) this.dispatchEvent(new PersonChanged(id, changed));
    else this.wrong = 'Nothing is different.';
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-person-form': PersonForm;
  }
}
