import '../../../components/acts/step-acts.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { itemOf, type Planned } from '../plan.ts';
import { Second } from '../second.ts';

/** A step under the hand, worked by the clock: what can be said of it changes with the second. */
@customElement('lb-working')
export class Working extends LitElement {
  @property({ attribute: false }) planned!: Planned;
  @property() step = '';
  /** The server can be reached. */
  @property({ type: Boolean }) server = false;
  /** A foreman is signed in. */
  @property({ type: Boolean }) foreman = false;
  @property({ attribute: false }) rulebook!: Rulebook;
  private readonly second = new Second(this);

  override render(): TemplateResult | typeof nothing {
    const { sight } = this.planned;
    const item = itemOf(this.planned, this.step);
    const followUp = item && this.rulebook.followUps.get(item.followUp);
    if (!sight || !item || !followUp) return nothing;
    return html`<lb-step-acts
      .item=${item}
      .job=${sight.job}
      .followUp=${followUp}
      .now=${this.second.now}
      .server=${this.server}
      .foreman=${this.foreman}
    ></lb-step-acts>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-working': Working;
  }
}
