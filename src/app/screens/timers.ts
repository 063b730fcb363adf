import '../../../components/timers/timer-bar.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query } from 'lit/decorators.js';
import type { TimerBar, TimerTapped } from '../../../components/timers/timer-bar.ts';
import type { Sight } from '../../job/sight.ts';
import { timersOf } from '../../job/timers.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { linkTo } from '../routes.ts';
import { Second } from '../second.ts';

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
  @query('lb-timer-bar') private readonly bar!: TimerBar | null;
  private readonly second = new Second(this);

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    keepClear(0);
  }

  override updated(): void {
    void this.bar?.updateComplete.then(() => keepClear(this.offsetHeight));
  }

  override render(): TemplateResult | typeof nothing {
    const timers = timersOf(this.sights, () => this.rulebook);
    if (timers.length === 0) return nothing;
    return html`<lb-timer-bar .timers=${timers} .now=${this.second.now} @lb-timer-tapped=${this.tapped}></lb-timer-bar>`;
  }

  private readonly tapped = ({ timer }: TimerTapped): void => {
    if (!this.locked) location.hash = linkTo(timer.ro, 'route', timer.step);
  };
}

/** Everything else along the lower edge stays clear of the bar, and so does what the hand tabs to (WCAG 2.2, 2.4.11). */
function keepClear(height: number): void {
  document.documentElement.style.setProperty('--timers', `${height}px`);
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-timers': Timers;
  }
}
