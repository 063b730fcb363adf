import '../../../components/timers/timer-bar.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { TimerTapped } from '../../../components/timers/timer-bar.ts';
import type { Sight } from '../../job/sight.ts';
import { timersOf } from '../../job/timers.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { linkTo } from '../routes.ts';

/** The timers of all cars by this tablet's clock, along the lower edge of every screen, under the lock too. */
@customElement('lb-timers')
export class Timers extends LitElement {
  static override styles = css`
    :host { display: block; position: sticky; bottom: 0; z-index: 2; max-width: 1280px; margin: 0 auto; }
    @media print { :host { display: none; } }
  `;

  @property({ attribute: false }) sights: readonly Sight[] = [];
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Nobody is signed in: they are seen and heard, and lead nowhere. */
  @property({ type: Boolean }) locked = false;
  @state() private now = Date.now();
  private clock: ReturnType<typeof setInterval> | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    this.clock = setInterval(() => (this.now = Date.now()), 1000);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearInterval(this.clock);
  }

  override render(): TemplateResult | typeof nothing {
    const timers = timersOf(this.sights, () => this.rulebook);
    if (timers.length === 0) return nothing;
    return html`<lb-timer-bar .timers=${timers} .now=${this.now} @lb-timer-tapped=${this.tapped}></lb-timer-bar>`;
  }

  private readonly tapped = ({ timer }: TimerTapped): void => {
    if (!this.locked) location.hash = linkTo(timer.ro, 'route', timer.step);
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-timers': Timers;
  }
}
