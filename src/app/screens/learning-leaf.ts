import '../../../components/learning/learning.ts';
import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { sheet } from '../../../components/sheet/sheet.styles.ts';
import type { Learned } from '../../job/learning.ts';
import { ask, Refused } from '../api.ts';
import { linkTo } from '../routes.ts';

/** As the server answers it. */
interface LearnedSoFar extends Learned {
  readonly jobs: number;
  readonly read: number;
}

const ASK_AGAIN_MS = 2_000;

/** What the jobs on record say of the rules; the server reads them, so it is asked each time that this is opened. */
@customElement('lb-learning-leaf')
export class LearningLeaf extends LitElement {
  static override styles = [sheet];

  @property() shop = '';
  @property() rules = '';
  @state() private learned: LearnedSoFar | undefined;
  @state() private says = '';
  private timer: ReturnType<typeof setTimeout> | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    void this.fetch();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearTimeout(this.timer);
  }

  override updated(changed: PropertyValues<this>): void {
    if (changed.size === 0 || !this.learned || this.learned.read >= this.learned.jobs || !this.isConnected) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.fetch(), ASK_AGAIN_MS);
  }

  override render(): TemplateResult {
    const { learned, says } = this;
    if (!learned) return html`<p class="notice" role="status">${says || 'Being counted.'}</p>`;
    const { read, jobs } = learned;
    return html`<div role="status">${read < jobs ? html`<p class="notice">Still being counted: ${read} of ${jobs} jobs are read.</p>` : nothing}${says ? html`<p class="notice">${says}</p>` : nothing}</div>
      <lb-learning .learned=${learned} .shop=${this.shop} .rules=${this.rules} .jobHref=${(ro: string) => linkTo(ro, 'route')}></lb-learning>`;
  }

  private async fetch(): Promise<void> {
    try {
      this.learned = (await ask('/api/learning')) as LearnedSoFar;
      this.says = '';
    } catch (error) {
      if (!(error instanceof Refused) && !(error instanceof TypeError)) throw error;
      this.says = error instanceof Refused ? error.message : 'No signal: the server counts this.';
    }
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-learning-leaf': LearningLeaf;
  }
}
