import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Timer } from '../../src/job/timers.ts';
import { clock, spanText } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { allowSound, soundAllowed, Tones } from './tones.ts';

/** Somebody goes to the step whose time is over, or looks at one that runs. */
export class TimerTapped extends Event {
  static readonly type = 'lb-timer-tapped';
  constructor(readonly timer: Timer) {
    super(TimerTapped.type, { bubbles: true, composed: true });
  }
}

/**
 * All timers of all jobs, along the lower edge of every screen, the soonest first. One that is over grows, so that it
 * is seen across the bay, and rings until it is silenced.
 * @fires lb-timer-tapped
 */
@customElement('lb-timer-bar')
export class TimerBar extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      :host { background: #12161a; color: #fbfcfa; border-top: 4px solid var(--ink); }
      .bar { display: flex; flex-wrap: wrap; }
      .timer { appearance: none; font: inherit; color: inherit; background: none; border: 0; border-left: 2px solid currentColor; flex: 1 1 220px; min-width: 0; min-height: 64px; padding: 6px 14px; display: grid; grid-template-columns: auto minmax(0, 1fr); gap: 2px 12px; align-items: center; text-align: left; line-height: 1.15; cursor: pointer; }
      .timer:first-child { border-left: 0; }
      b { font: 700 1.625rem/1 var(--pen); white-space: nowrap; }
      .what { overflow-wrap: anywhere; }
      .run { grid-column: 1 / -1; width: 100%; height: 9px; border: 2px solid currentColor; }
      .over { background: var(--paint); color: var(--on-paint); padding: 10px 14px; flex: 1 1 100%; display: grid; grid-template-columns: 84px minmax(0, 1fr) auto; gap: 6px 14px; align-items: center; border: 4px solid var(--on-paint); line-height: 1.1; }
      .over svg { width: 84px; height: 84px; }
      .over strong { font: 800 clamp(2rem, 7vw, 4rem) / 1 var(--print); letter-spacing: -0.03em; display: block; }
      .over .step { font-size: var(--t-stop); font-weight: 650; overflow-wrap: anywhere; }
      .over .keys { flex-direction: column; --touch: #12161a; --paper: #ffd21f; --on-touch: #ffd21f; --ink: #12161a; }
      .blocked { padding: 6px 14px; display: flex; flex-wrap: wrap; gap: 6px 14px; align-items: center; --touch: #fbfcfa; --paper: #12161a; border-top: 2px solid currentColor; }
      .key { min-height: 54px; }
      .over .key { min-height: 64px; }
      @media (max-width: 560px) { .over { grid-template-columns: 56px minmax(0, 1fr); } .over svg { width: 56px; height: 56px; } .over .keys { grid-column: 1 / -1; flex-direction: row; } .over .keys .key { flex: 1; } .timer { padding: 5px 10px; } }
      @media print { :host { display: none; } }
    `,
  ];

  @property({ attribute: false }) timers: readonly Timer[] = [];
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  /** Heard: these ring no more, though their steps are not finished. */
  @state() private silenced: ReadonlySet<string> = new Set();
  @state() private sounds = soundAllowed();
  private readonly tones = new Tones();

  override connectedCallback(): void {
    super.connectedCallback();
    // The first touch of the page, wherever, is enough.
    window.addEventListener('pointerdown', this.touched, { passive: true });
    window.addEventListener('keydown', this.touched);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('pointerdown', this.touched);
    window.removeEventListener('keydown', this.touched);
    this.tones.silence();
  }

  /** Whether it is to be heard now. */
  get ringing(): boolean {
    return this.over().some((timer) => !this.silenced.has(name(timer)));
  }

  override updated(): void {
    if (this.ringing) this.tones.ring();
    else this.tones.silence();
  }

  override render(): TemplateResult | typeof nothing {
    if (this.timers.length === 0) return nothing;
    const over = this.over();
    const running = this.sorted().filter((timer) => !over.includes(timer));
    return html`<section aria-label="Timers of all jobs">
      <div role="alert">${over.map((timer) => this.ended(timer))}</div>
      ${running.length > 0 ? html`<div class="bar">${running.map((timer) => this.running(timer))}</div>` : nothing}
      ${this.ringing && !this.sounds ? html`<div class="blocked"><p>This browser gives no sound before the first touch.</p><button type="button" class="key" @click=${this.touched}>Let it ring</button></div>` : nothing}
    </section>`;
  }

  private sorted(): Timer[] {
    return [...this.timers].sort((a, b) => a.ends - b.ends);
  }

  private over(): Timer[] {
    return this.sorted().filter(({ ends }) => ends <= this.now);
  }

  private running(timer: Timer): TemplateResult {
    const { ro, title, begins, ends, kind } = timer;
    const done = Math.min(1, Math.max(0, (this.now - begins) / (ends - begins)));
    const left = spanText(ends - this.now);
    return html`<button type="button" class="timer" @click=${() => this.dispatchEvent(new TimerTapped(timer))}>
      <b>${left}</b><span class="what">${ro} ${title}${kind === 'closing' ? ', closing' : ''}</span>
      <svg class="run" viewBox="0 0 100 9" preserveAspectRatio="none" aria-hidden="true"><rect width=${(done * 100).toFixed(1)} height="9" fill="currentColor" /></svg>
    </button>`;
  }

  private ended(timer: Timer): TemplateResult {
    const { ro, title, ends, kind } = timer;
    const rings = !this.silenced.has(name(timer));
    return html`<div class="over">
      ${HAND}
      <div><strong>${ro} is over</strong><span class="step">${title}${kind === 'closing' ? ': close it' : ''}, since ${clock(ends, this.now)}</span></div>
      <div class="keys">
        ${rings ? html`<button type="button" class="key full" @click=${() => this.silence(timer)}>Silence it</button>` : nothing}
        <button type="button" class="key" @click=${() => this.go(timer)}>Go there</button>
      </div>
    </div>`;
  }

  private go(timer: Timer): void {
    this.silence(timer);
    this.dispatchEvent(new TimerTapped(timer));
  }

  private silence(timer: Timer): void {
    this.silenced = new Set([...this.silenced, name(timer)]);
  }

  private readonly touched = (): void => {
    if (this.sounds) return;
    void allowSound().then((sounds) => {
      this.sounds = sounds;
    });
  };
}

/** A wait that is run once more is another one. */
function name({ ro, step, kind, ends }: Timer): string {
  return `${ro}/${step}/${kind}/${ends}`;
}

// A clock whose time is up, drawn large: seen as a shape from where no word can be read.
const HAND = html`<svg viewBox="0 0 84 84" aria-hidden="true"><circle cx="42" cy="46" r="32" fill="none" stroke="currentColor" stroke-width="8"/><path d="M42 26v20h16" fill="none" stroke="currentColor" stroke-width="8"/><path d="M8 20L22 6M76 20L62 6" stroke="currentColor" stroke-width="9"/></svg>`;

declare global {
  interface HTMLElementTagNameMap {
    'lb-timer-bar': TimerBar;
  }
}
