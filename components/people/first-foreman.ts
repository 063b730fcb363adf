import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import '../head/brand-mark.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { sentence } from '../sheet/time.ts';
import { FirstMade } from './events.ts';
import { fieldText } from './fields.ts';
import { people } from './people.styles.ts';
import { pinFault } from './pin.ts';

/**
 * A shop in which nobody works yet: its name, and the first foreman.
 * @fires lb-first-made
 */
@customElement('lb-first-foreman')
export class FirstForeman extends LitElement {
  static override styles = [sheet, key, blank, people];

  /** Why the server did not take it. */
  @property() says = '';
  @state() private wrong = '';

  override render(): TemplateResult {
    const trouble = this.wrong || this.says;
    return html`<section aria-labelledby="name">
      <div class="head"><lb-brand-mark></lb-brand-mark><h1 id="name">A new shop</h1></div>
      <div class="columns">
        <form @submit=${this.submit} novalidate>
          <p>Nobody works here yet. The first foreman then says who else does.</p>
          <label><span class="label">Code from the server's screen</span><input name="code" autocomplete="off" autocapitalize="off" spellcheck="false" maxlength="200" /></label>
          <label><span class="label">Name of the shop, as it stands on papers</span><input name="shop" autocomplete="organization" maxlength="200" /></label>
          <label><span class="label">Your own name</span><input name="name" autocomplete="name" maxlength="200" /></label>
          <div class="two">
            <label><span class="label">PIN, four to eight digits</span><input name="pin" type="password" inputmode="numeric" autocomplete="new-password" maxlength="8" /></label>
            <label><span class="label">The same PIN again</span><input name="again" type="password" inputmode="numeric" autocomplete="new-password" maxlength="8" /></label>
          </div>
          <div role="alert">${trouble ? html`<p class="against">${sentence(trouble)}</p>` : nothing}</div>
          <button class="key main full">Open the shop</button>
        </form>
        <div><p class="soft">The code was printed where the server was started, and works once. It shows that whoever opens the shop may touch the server.</p></div>
      </div>
    </section>`;
  }

  private readonly submit = (event: Event): void => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const written = (name: string) => fieldText(form, name);
    const [code, shop, name, pin] = [written('code'), written('shop'), written('name'), written('pin')];
    const [empty] = [
      ['code', code, "Write the code that stands on the server's screen."],
      ['shop', shop, 'Write the name of the shop.'],
      ['name', name, 'Write your name.'],
    ].filter(([, value]) => !value);
    this.wrong = empty?.[2] ?? pinFault(pin, written('again')) ?? '';
    if (this.wrong) form.querySelector<HTMLInputElement>(`[name=${empty?.[0] ?? 'pin'}]`)?.focus();
    else this.dispatchEvent(new FirstMade(code, shop, name, pin));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-first-foreman': FirstForeman;
  }
}
