import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { momentText } from '../../../components/papers/moment.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import type { Summary } from '../../job/exchange.ts';
import { fetchSummaries, Refused } from '../api.ts';

import { linkTo } from '../routes.ts';

/** Cars that went, the last one first; the server has them, page by page. */
@customElement('lb-went-list')
export class WentList extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      li { display: grid; grid-template-columns: minmax(110px, auto) minmax(0, 1fr) auto; gap: 4px 16px; align-items: center; padding: 8px 16px; border-bottom: 2px solid var(--ink); }
      .ro { font: 700 1.5rem/1 var(--pen); letter-spacing: -0.03em; overflow-wrap: anywhere; }
      .says { padding: 24px 16px; font-size: var(--t-step); }
      .more { padding: 12px 16px; }
      @media (max-width: 560px) { li { grid-template-columns: minmax(0, 1fr) auto; } li p { grid-column: 1 / -1; grid-row: 2; } }
    `,
  ];

  @state() private went: readonly Summary[] = [];
  @state() private next: string | null = null;
  @state() private all = false;
  @state() private says = '';
  @state() private asking = false;

  override connectedCallback(): void {
    super.connectedCallback();
    void this.more();
  }

  override render(): TemplateResult {
    return html`${this.went.length > 0 ? html`<ol aria-label="Cars that went, the last one first">${this.went.map((one) => this.row(one))}</ol>` : nothing}
      ${this.says ? html`<p class="says" role="status">${this.says}</p>` : nothing}
      ${!this.all && this.went.length > 0 ? html`<div class="more"><button class="key" ?disabled=${this.asking} @click=${() => void this.more()}>Further back</button></div>` : nothing}`;
  }

  private row({ ro, status, written }: Summary): TemplateResult {
    const how = status === 'released' ? 'Released' : 'Left unfinished';
    return html`<li>
      <span class="ro">${ro}</span>
      <p><b>${how}</b> <span class="pen">${momentText(written)}</span></p>
      <a class="key" href=${linkTo(ro, 'hand-over')}>Open it<span class="unseen">: ${ro}</span></a>
    </li>`;
  }

  private async more(): Promise<void> {
    if (this.all || this.asking) return;
    this.asking = true;
    try {
      const page = await fetchSummaries('ended', this.next);
      this.went = [...this.went, ...page.records];
      this.next = page.next;
      this.all = page.next === null;
      this.says = this.went.length === 0 ? 'No car has gone yet.' : '';
    } catch (error) {
      if (!(error instanceof Refused) && !(error instanceof TypeError)) throw error;
      this.says = error instanceof Refused ? error.message : 'No signal: cars that went are on the server only.';
    }
    this.asking = false;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-went-list': WentList;
  }
}
