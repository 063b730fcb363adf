import { css, html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Person } from '../../src/job/people.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { sentence } from '../sheet/time.ts';
import { people } from './people.styles.ts';
import './person-form.ts';
import type { PersonForm } from './person-form.ts';
import { rolesText } from './roles.ts';

const NOBODY = '';
const NEW = '+';

/**
 * Who works here, and who did. A foreman adds and changes; everybody else sees the list and changes their own PIN.
 * @fires lb-person-added
 * @fires lb-person-changed
 */
@customElement('lb-people')
export class PeoplePage extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    people,
    css`
      .band { padding: 12px 16px 20px; }
      li { border-bottom: 2px solid var(--ink); padding: 8px 0; }
      .one { display: flex; flex-wrap: wrap; gap: 6px 16px; align-items: center; min-height: var(--row); }
      .one > div { flex: 1 1 240px; line-height: 1.25; min-width: 0; overflow-wrap: anywhere; }
      .one b { font-size: var(--t-step); }
      .gone b { text-decoration: line-through; text-decoration-thickness: 2px; }
      .form { border-left: 10px solid var(--ink); padding: 8px 0 10px 14px; margin: 6px 0; }
      .add { margin-top: 14px; }
    `,
  ];

  /** All, those gone too. */
  @property({ attribute: false }) people: readonly Person[] = [];
  /** Whoever is signed in. */
  @property({ attribute: false }) person: Person | undefined;
  /** Why the server did not take the last change. */
  @property() says = '';
  @state() private opened = NOBODY;

  override willUpdate(changed: PropertyValues<this>): void {
    // What was said is on the list now.
    if (changed.has('people')) this.opened = NOBODY;
  }

  override render(): TemplateResult {
    const sorted = [...this.people.filter(({ gone }) => !gone), ...this.people.filter(({ gone }) => gone)];
    return html`<section class="band" aria-label="Who works here">
      <div role="alert">${this.says ? html`<p class="against">${sentence(this.says)}</p>` : nothing}</div>
      <ul>${sorted.map((one) => html`<li>${this.one(one)}</li>`)}</ul>
      ${this.foreman ? this.adding() : html`<p class="soft">A foreman says who works here.</p>`}
    </section>`;
  }

  private get foreman(): boolean {
    return this.person?.roles.includes('foreman') ?? false;
  }

  private one(one: Person): TemplateResult {
    const own = !this.foreman && one.id === this.person?.id;
    const open = this.opened === one.id;
    return html`<div class="one ${one.gone ? 'gone' : ''}">
        <div><b>${one.name}</b><br />${rolesText(one)}${one.gone ? ', works here no more' : ''}</div>
        ${this.foreman || own ? html`<button type="button" class="key" aria-expanded=${open ? 'true' : 'false'} @click=${() => this.open(one.id)}>${open ? 'Leave it' : own ? 'Change my PIN' : 'Change'}<span class="unseen">: ${one.name}</span></button>` : nothing}
      </div>
      ${open ? html`<div class="form"><lb-person-form .person=${one} .own=${own} .self=${one.id === this.person?.id}></lb-person-form></div>` : nothing}`;
  }

  private adding(): TemplateResult {
    const open = this.opened === NEW;
    return html`<div class="add">
      <button type="button" class="key main ${open ? '' : 'full'}" aria-expanded=${open ? 'true' : 'false'} @click=${() => this.open(NEW)}>${open ? 'Leave it' : 'Put somebody on the list'}</button>
      ${open ? html`<div class="form"><lb-person-form></lb-person-form></div>` : nothing}
    </div>`;
  }

  private open(id: string): void {
    this.opened = this.opened === id ? NOBODY : id;
    void this.updateComplete.then(async () => {
      const form = this.renderRoot.querySelector<PersonForm>('lb-person-form');
      await form?.updateComplete;
      form?.focus();
    });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-people': PeoplePage;
  }
}
