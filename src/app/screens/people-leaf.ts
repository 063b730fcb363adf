import '../../../components/people/people-page.ts';
import '../../../components/people/shop-page.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { PersonAdded, PersonChanged, ShopChanged } from '../../../components/people/events.ts';
import type { Door } from '../../job/exchange.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { ask, Refused } from '../api.ts';
import type { AtTablet } from '../session.ts';

/** Who works here, and how the shop is set: the foreman's two pages. */
@customElement('lb-people-leaf')
export class PeopleLeaf extends LitElement {
  @property() of: 'people' | 'shop' = 'people';
  @property({ attribute: false }) tablet!: AtTablet;
  /** The tablet's door; a new one each time that something changed. */
  @property({ attribute: false }) seen: Door | undefined;
  @property({ attribute: false }) rulebook!: Rulebook;
  @state() private says = '';

  override render(): TemplateResult | typeof nothing {
    const { tablet, says } = this;
    const person = tablet.session?.person;
    if (!person || !tablet.door) return nothing;
    if (this.of === 'people')
      return html`<lb-people .people=${tablet.door.people} .person=${person} .says=${says} @lb-person-added=${this.added} @lb-person-changed=${this.altered}></lb-people>`;
    if (!tablet.shop) return nothing;
    return html`<lb-shop .shop=${tablet.shop} .tools=${this.rulebook.setups.tools} .foreman=${person.roles.includes('foreman')} .says=${says} @lb-shop-changed=${this.set}></lb-shop>`;
  }

  private readonly added = ({ name, roles, pin }: PersonAdded): Promise<void> =>
    this.send('POST', '/api/people', { name, roles, pin }, `${name} is on the list.`);

  private readonly altered = ({ person, changed }: PersonChanged): Promise<void> =>
    this.send('PATCH', `/api/people/${encodeURIComponent(person)}`, changed, 'It is written down.');

  private readonly set = ({ shop }: ShopChanged): Promise<void> =>
    this.send('PUT', '/api/shop', shop, 'It is written down.');

  private async send(method: string, path: string, body: object, done: string): Promise<void> {
    try {
      const headers = { 'content-type': 'application/json', 'x-token': this.tablet.token };
      await ask(path, { method, headers, body: JSON.stringify(body) });
      await this.tablet.look();
      this.says = done;
    } catch (error) {
      if (!(error instanceof Refused) && !(error instanceof TypeError)) throw error;
      this.says =
        error instanceof Refused
          ? error.message
          : 'No signal: people and settings are changed with the server in reach.';
    }
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-people-leaf': PeopleLeaf;
  }
}
