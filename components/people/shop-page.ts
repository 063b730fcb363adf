import { css, html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Shop } from '../../src/job/exchange.ts';
import { choice, type Option } from '../keys/choice.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import { ShopChanged } from './events.ts';
import { fieldText } from './fields.ts';
import { people } from './people.styles.ts';

/** Tools by id, as setups.json has them. */
export type Tools = Readonly<Record<string, { readonly title: string }>>;

/**
 * The settings of the shop. Only a foreman keeps a change.
 * @fires lb-shop-changed
 */
@customElement('lb-shop')
export class ShopPage extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    people,
    css`
      form { padding: 12px 16px 20px; max-width: 860px; gap: 18px; }
      .name { max-width: 560px; }
      .soft { margin-top: 6px; }
      .label { margin-bottom: 4px; }
      .figure { max-width: 160px; }
    `,
  ];

  @property({ attribute: false }) shop!: Shop;
  @property({ attribute: false }) tools: Tools = {};
  @property({ type: Boolean }) foreman = false;
  /** Why the server did not take the last change. */
  @property() says = '';
  @state() private alone = false;
  @state() private units: Shop['units'] = 'metric';
  /** null = all there are, and all that come. */
  @state() private there: readonly string[] | null = null;
  @state() private wrong = '';
  @state() private kept = false;

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('shop')) return;
    const { alone, units, tools } = this.shop;
    this.kept = changed.get('shop') !== undefined;
    this.alone = alone;
    this.units = units;
    this.there = tools;
  }

  override render(): TemplateResult {
    const { shop } = this;
    const trouble = this.wrong || this.says;
    return html`<form @submit=${this.submit} novalidate aria-label="The shop">
      <label class="name"><span class="label">Name, as it stands on papers</span><input name="name" autocomplete="off" maxlength="200" .value=${shop.name} /></label>
      ${this.asks('Who works here', PEOPLE, [this.alone ? 'alone' : 'several'], (value) => (this.alone = value === 'alone'), this.alone ? 'Whoever did a step may check it, and the papers say: not independently checked.' : 'Whoever had a hand in a step does not check it.')}
      ${this.asks('Units', UNITS, [this.units], (value) => (this.units = value === 'us' ? 'us' : 'metric'), 'New jobs are shown in these; an open one keeps its own.')}
      ${this.toolsAsked()}
      <div class="two">
        <label><span class="label">Locks after, minutes (1 to 10)</span><input class="figure" name="lock" inputmode="numeric" autocomplete="off" maxlength="2" .value=${String(shop['lock-minutes'])} /></label>
        <label><span class="label">Records are kept, years (3 to 30)</span><input class="figure" name="keep" inputmode="numeric" autocomplete="off" maxlength="2" .value=${String(shop['keep-years'])} /></label>
      </div>
      <div role="alert">${trouble ? html`<p class="against">${sentence(trouble)}</p>` : nothing}</div>
      <div role="status">${this.kept && !trouble ? html`<p>Kept.</p>` : nothing}</div>
      <p class="soft">A tablet that warns of this server, or opens no camera: <a href="/trust" target="_blank" rel="noopener">how it comes to trust it</a>.</p>
      ${this.foreman ? html`<button class="key main full">Keep it so</button>` : html`<p class="soft">A foreman changes these.</p>`}
    </form>`;
  }

  private asks(
    title: string,
    options: readonly Option[],
    picked: readonly string[],
    pick: (value: string) => void,
    says: string,
  ): TemplateResult {
    return html`<div><p class="label">${title}</p>${choice(title, options, picked, pick)}<p class="soft">${says}</p></div>`;
  }

  private toolsAsked(): TemplateResult {
    const { there } = this;
    const known = Object.entries(this.tools).filter(([id]) => id !== 'none');
    const all = known.map(([id]) => id);
    const options = known.map(([value, { title }]) => ({ value, text: capital(title) }));
    const turn = (id: string) => {
      const now = there ?? all;
      this.there = now.includes(id) ? now.filter((one) => one !== id) : [...now, id];
    };
    const says =
      there === null
        ? 'All of them, and whatever the rulebook will name.'
        : 'Where one is wanting, the step offers to be sent out.';
    return html`<div><p class="label">Tools in the shop</p>
      ${choice('Tools in the shop', options, there ?? all, turn)}
      <p class="soft">${says}</p>
      ${there === null ? nothing : html`<div class="keys"><button type="button" class="key" @click=${() => (this.there = null)}>All of them</button></div>`}
    </div>`;
  }

  private readonly submit = (event: Event): void => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const name = fieldText(form, 'name');
    const [lock, keep] = [Number(fieldText(form, 'lock')), Number(fieldText(form, 'keep'))];
    this.wrong = fault(name, lock, keep);
    if (this.wrong || !this.foreman) return;
    const { alone, units, there } = this;
    const shop: Shop = { name, alone, units, tools: there && [...there], 'lock-minutes': lock, 'keep-years': keep };
    this.dispatchEvent(new ShopChanged(shop));
  };
}

const PEOPLE = [
  { value: 'several', text: 'Several people' },
  { value: 'alone', text: 'One person alone' },
];
const UNITS = [
  { value: 'metric', text: 'Metric: N·m, bar, °C' },
  { value: 'us', text: 'US: lb·ft, psi, °F' },
];

function fault(name: string, lock: number, keep: number): string {
  if (!name) return 'Write the name of the shop.';
  if (!Number.isInteger(lock) || lock < 1 || lock > 10) return 'It locks after 1 to 10 whole minutes.';
  return Number.isInteger(keep) && keep >= 3 && keep <= 30 ? '' : 'Records are kept for 3 to 30 whole years.';
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-shop': ShopPage;
  }
}
