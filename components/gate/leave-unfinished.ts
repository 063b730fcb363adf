import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { SafetyLine } from '../../src/job/unfinished.ts';
import { Said } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { gate } from './gate.styles.ts';

/**
 * A car that leaves with something open: foreman and customer by name, and each safety line read and signed for.
 * `lb-back` = it stays after all.
 * @fires lb-said
 * @fires lb-back
 */
@customElement('lb-leave-unfinished')
export class LeaveUnfinished extends LitElement {
  static override styles = [sheet, key, blank, gate];

  @property() ro = '';
  /** Whoever is signed in. */
  @property() foreman = '';
  @property({ attribute: false }) lines: readonly SafetyLine[] = [];
  @state() private customer = '';
  /** Texts, so that a line that changed meanwhile is signed anew. */
  @state() private signed: ReadonlySet<string> = new Set();
  @state() private wrong = '';

  override render(): TemplateResult {
    const { lines } = this;
    return html`<section aria-labelledby="leave">
      <h2 id="leave" class="black">${this.ro} leaves NOT FINISHED</h2>
      <div class="two">
        <div><span class="label">Foreman</span><div class="filled">${this.foreman}</div></div>
        <label><span class="label">Customer, or who fetches the car</span><input autocomplete="off" maxlength="200" .value=${this.customer} @input=${this.named} /></label>
      </div>
      ${
        lines.length > 0
          ? html`<h3>Hand over the tablet: the customer reads and signs each line.</h3>${lines.map((line) => this.line(line))}`
          : html`<p>No safety item is open. What else is open stands on the paper.</p>`
      }
      <div role="alert">${this.wrong ? html`<p class="against">${this.wrong}</p>` : nothing}</div>
      <div class="mains">
        <button type="button" class="key main full" @click=${this.leave}>It leaves unfinished</button>
        <button type="button" class="key main" @click=${() => this.dispatchEvent(new Event('lb-back', { bubbles: true, composed: true }))}>It stays</button>
        <p>Then print the paper: it says NOT FINISHED, and both sign it by hand.</p>
      </div>
    </section>`;
  }

  private line({ text }: SafetyLine): TemplateResult {
    const signed = this.signed.has(text);
    return html`<div class="line"><p>${text}</p>
      <button type="button" class="key" aria-pressed=${signed ? 'true' : 'false'} @click=${() => this.sign(text)}>${signed ? html`Read and understood, <span class="signed">${initials(this.customer)}</span>` : 'I have read this and understand it'}</button>
    </div>`;
  }

  private readonly named = (event: Event): void => {
    this.customer = (event.target as HTMLInputElement).value;
    // Another name has read nothing yet.
    this.signed = new Set();
  };

  private sign(text: string): void {
    this.wrong = this.customer.trim() ? '' : 'Write the name of whoever reads and signs.';
    if (this.wrong) return;
    const signed = new Set(this.signed);
    if (!signed.delete(text)) signed.add(text);
    this.signed = signed;
  }

  private readonly leave = (): void => {
    const customer = this.customer.trim();
    const texts = this.lines.map(({ text }) => text);
    const unread = texts.filter((text) => !this.signed.has(text)).length;
    this.wrong = fault(customer, this.foreman, unread);
    if (this.wrong) return;
    this.dispatchEvent(new Said([{ type: 'left-unfinished', foreman: this.foreman, customer, lines: texts }]));
  };
}

function fault(customer: string, foreman: string, unread: number): string {
  if (!customer) return 'Write the name of whoever takes the car.';
  if (customer.toLowerCase() === foreman.toLowerCase()) return 'Foreman and customer are two people: both sign.';
  if (unread === 0) return '';
  return unread === 1 ? 'One line is not signed yet.' : `${unread} lines are not signed yet.`;
}

/** "Nel Ashgrove" -> "NA" */
function initials(name: string): string {
  return name
    .trim()
    .split(/\s+/)
    .map((word) => word.charAt(0).toUpperCase())
    .join('');
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-leave-unfinished': LeaveUnfinished;
  }
}
