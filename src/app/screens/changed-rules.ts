import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { Said } from '../../../components/record/said.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { underRules, type UnderRules } from '../../job/newer-rules.ts';
import type { Job } from '../../job/state.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { fetchRules } from '../api.ts';

/**
 * Newer rules are in force than those this job was opened under: what they would make other, before anything changes.
 * Only a foreman takes them, with the server in reach.
 * @fires lb-said
 */
@customElement('lb-rules-changed')
export class RulesChanged extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      h3 { margin-top: 12px; }
      ul { margin: 4px 0 0 20px; }
      .keys { margin-top: 8px; }
    `,
  ];

  @property({ attribute: false }) job!: Job;
  @property({ attribute: false }) now!: Rulebook;
  @property({ attribute: false }) then!: Rulebook;
  @property({ type: Boolean }) foreman = false;
  @property({ type: Boolean }) server = false;
  @state() private shown: UnderRules | undefined;
  /** Why it cannot be shown. */
  @state() private says = '';

  override willUpdate(): void {
    // What was shown of another state of the job is not what would be taken.
    if (this.shown && this.of !== this.job) this.shown = underRules(this.job, this.now, this.then);
    this.of = this.job;
  }
  private of: Job | undefined;

  override render(): TemplateResult {
    const { shown } = this;
    return html`<section class="notice screen" aria-label="Newer rules">
      <p><b>Newer rules are in force.</b> This job keeps those it was opened under, <span class="pen">${this.now.version}</span>, until the foreman takes the newer ones, <span class="pen">${this.then.version}</span>.</p>
      ${this.says ? html`<p role="alert">${this.says}</p>` : nothing}
      ${shown ? this.difference(shown) : html`<div class="keys"><button class="key" @click=${this.look}>See what they would change</button></div>`}
    </section>`;
  }

  private difference({ faults, comes, goes, turns, order, lost }: UnderRules): TemplateResult {
    if (faults.length > 0)
      return html`<p><b>This job cannot be planned with them:</b> ${faults.join(' ')}</p>${this.keys(false)}`;
    const none = comes.length + goes.length + turns.length + order.now.length + lost.length === 0;
    return html`${none ? html`<p>They change nothing on this sheet.</p>` : nothing}
      ${list('Comes onto the sheet', comes.map(named))} ${list('Goes off the sheet', goes.map(named))}
      ${list(
        'Stays, and changes',
        turns.map((one) => `${named(one)} ${capital(one.what.join('; '))}.`),
      )}
      ${order.now.length > 0 ? html`<h3>Other order</h3><p>Now: ${order.now.join(', ')}.</p><p>Then: ${order.then.join(', ')}.</p>` : nothing}
      ${list(
        'On record, and not asked for any more',
        lost.map((one) => `${this.worded(one)} It stays in the record and leaves the sheet.`),
      )}
      ${this.keys(true)}`;
  }

  private worded(one: string): string {
    const [step = '', ...reading] = one.split('/');
    const title = this.now.followUps.get(step.split('#')[0] ?? '')?.title ?? step;
    return reading.length > 0 ? `${title}: ${reading.at(-1)}.` : `${title}.`;
  }

  private keys(takes: boolean): TemplateResult {
    const { foreman, server } = this;
    return html`${takes && !foreman ? html`<p>The foreman takes them.</p>` : nothing}
      ${takes && foreman && !server ? html`<p>They are taken with the server in reach.</p>` : nothing}
      <div class="keys">
        ${takes && foreman && server ? html`<button class="key" @click=${this.take}>Take the newer rules</button>` : nothing}
        <button class="key" @click=${() => (this.shown = undefined)}>Keep the rules of this job</button>
      </div>`;
  }

  /** A page that was opened long ago may hold rules that are in force no more. */
  private readonly look = async (): Promise<void> => {
    this.says = '';
    try {
      const { version } = await fetchRules();
      if (version !== this.then.version) this.says = 'This page is older than the rules in force: load it anew.';
      else this.shown = underRules(this.job, this.now, this.then);
    } catch {
      this.says = 'The server cannot be reached: only it knows which rules are in force.';
    }
  };

  private readonly take = (): void => {
    const { shown, then } = this;
    if (!shown) return;
    const lost = shown.lost.length > 0 ? { lost: [...shown.lost] } : {};
    this.dispatchEvent(new Said([{ type: 'rulebook-changed', to: then.version, shown: [...shown.shown], ...lost }]));
  };
}

function list(title: string, lines: readonly string[]): TemplateResult | typeof nothing {
  if (lines.length === 0) return nothing;
  return html`<h3>${title}</h3><ul>${lines.map((line) => html`<li>${line}</li>`)}</ul>`;
}

function named({ title, safety, level, perhaps }: UnderRules['comes'][number]): string {
  return `${title}: ${perhaps ? 'perhaps ' : ''}${level}${safety ? ', safety item' : ''}.`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-rules-changed': RulesChanged;
  }
}
