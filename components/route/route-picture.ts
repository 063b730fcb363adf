import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { sheet } from '../sheet/sheet.styles.ts';
import { minutesText, shortMinutes } from '../sheet/time.ts';

export interface PictureStop {
  readonly letter: string;
  readonly name: string;
  readonly minutes: number;
  /** Minutes to change the car on the way here; 0 = nothing to change. */
  readonly changeMinutes: number;
  readonly changes: boolean;
  readonly steps: number;
  readonly safety: number;
  readonly href: string;
}

/**
 * The whole route in one line: set-ups as lettered stops, the longer the stay the longer its piece of line, broken
 * where the car is changed. A list to a screen reader; lines and letters only, so it copies in black and white.
 */
@customElement('lb-route-picture')
export class RoutePicture extends LitElement {
  static override styles = [
    sheet,
    css`
      ol { display: flex; flex-wrap: wrap; row-gap: 8px; padding: 8px 16px 6px; }
      li { flex: 1 1 112px; min-width: 104px; max-width: 330px; }
      a { display: block; min-height: 76px; color: inherit; text-decoration: none; font-weight: 400; padding: 2px 10px 2px 0; }
      .line { display: flex; align-items: center; height: 36px; }
      .square { flex: none; min-width: 34px; height: 34px; border: 3px solid var(--ink); background: var(--paper); color: var(--touch); font: 800 1.25rem/27px var(--print); text-align: center; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 3px; padding: 0 2px; }
      .rail { flex: 1; height: 8px; border: solid var(--ink); border-width: 2.5px 0; }
      .break { flex: none; width: 26px; height: 26px; }
      li:last-child .rail { flex: 0 1 40px; }
      .name { font-weight: 700; line-height: 1.15; }
      .what { line-height: 1.2; }
      .time { font: 600 1.0625rem/1.2 var(--pen); letter-spacing: -0.02em; }
      @media (max-width: 560px) { ol { padding: 8px 10px 4px; } li { flex-basis: 96px; min-width: 92px; } }
    `,
  ];

  @property({ attribute: false }) stops: readonly PictureStop[] = [];

  override render(): TemplateResult | typeof nothing {
    if (this.stops.length === 0) return nothing;
    return html`<nav aria-label="Route in one line"><ol>${this.stops.map((stop, i) => this.stop(stop, this.stops[i + 1]))}</ol></nav>`;
  }

  /** Set from here: the page's policy lets no style stand in the markup. */
  override updated(): void {
    for (const [i, item] of this.renderRoot.querySelectorAll('li').entries())
      item.style.flexGrow = Math.max(1, Math.round(this.stops[i]?.minutes ?? 0)).toString();
  }

  private stop(stop: PictureStop, next: PictureStop | undefined): TemplateResult {
    const { letter, name, minutes, changes, changeMinutes, steps, safety, href } = stop;
    const count = `${steps} ${steps === 1 ? 'step' : 'steps'}${safety > 0 ? `, ${safety} safety` : ''}`;
    const change = changes
      ? `, after ${changeMinutes > 0 ? minutesText(changeMinutes) : 'less than a minute'} changing the car`
      : '';
    return html`<li>
      <a href=${href}>
        <div class="line" aria-hidden="true"><span class="square">${letter}</span><span class="rail"></span>${next?.changes ? BREAK : nothing}</div>
        <span class="unseen">Stop ${letter}: ${name}, ${minutes > 0 ? `${minutesText(minutes)}, ` : ''}${count}${change}</span>
        <div aria-hidden="true"><div class="name">${name}</div><div class="what">${minutes > 0 ? html`<span class="time">${shortMinutes(minutes)}</span>, ` : nothing}${count}</div></div>
      </a>
    </li>`;
  }
}

/** The line is broken: here the car is changed. */
const BREAK = html`<svg class="break" viewBox="0 0 26 26"><path d="M5 23L13 3M13 23L21 3" fill="none" stroke="currentColor" stroke-width="3.5" /></svg>`;

declare global {
  interface HTMLElementTagNameMap {
    'lb-route-picture': RoutePicture;
  }
}
