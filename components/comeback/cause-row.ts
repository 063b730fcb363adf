import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Cause } from '../../src/job/comeback/comeback.ts';
import type { Evidence } from '../../src/job/comeback/standing.ts';
import type { Test } from '../../src/job/comeback/tell-apart.ts';
import '../bolt/bolt.ts';
import type { Stage } from '../bolt/bolt.ts';
import { byTheClock } from '../gate/says.ts';
import '../plate/plate.ts';
import { acts } from '../acts/acts.styles.ts';
import { clock } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { minutesText, sentence } from '../sheet/time.ts';
import { bearsOn, type Fact } from './facts.ts';
import { bearsMark } from './marks.ts';
import './outcome.ts';
import { chanceText, KINDS, STAGE_OF } from './words.ts';

/** A test spoke against a cause, or that is taken back. */
export class Ruled extends Event {
  static readonly type = 'lb-ruled';
  constructor(
    readonly id: string,
    readonly out: boolean,
  ) {
    super(Ruled.type, { bubbles: true, composed: true });
  }
}

/**
 * One cause of a car that came back: how it stands with what is known, what the record has of it, and the test that
 * tells, the cheapest first.
 * @fires lb-said
 * @fires lb-ruled
 */
@customElement('lb-cause-row')
export class CauseRow extends LitElement {
  static override styles = [
    sheet,
    key,
    acts,
    css`
      @media print { :host { break-inside: avoid; } }
      :host { border-bottom: 2px solid var(--ink); container-type: inline-size; }
      .ca { display: grid; grid-template-columns: 3.5rem 3.25rem minmax(0, 1fr) auto 14.75rem; gap: 4px 12px; padding: 9px 16px 9px 12px; align-items: center; }
      .rank { font: 800 2.5rem/1 var(--print); text-align: center; }
      .ca.one .rank { font-size: 3.5rem; }
      .ca.one h2 { font-size: var(--t-stop); }
      h2 { font-size: var(--t-step); letter-spacing: -0.015em; line-height: 1.12; margin-bottom: 2px; }
      h2.struck { text-decoration: line-through; text-decoration-thickness: 3px; }
      lb-bolt { width: 50px; height: 50px; }
      .ct li { display: grid; grid-template-columns: 22px minmax(0, 1fr); gap: 6px; line-height: 1.24; overflow-wrap: anywhere; }
      .ct li svg { width: 17px; height: 17px; margin-top: 4px; }
      .fx { display: flex; }
      .fx span { display: grid; place-items: center; align-content: center; font: 700 1.125rem/1 var(--pen); border-left: 2px solid var(--ink); height: 44px; width: 2.6rem; }
      .fx span:last-child { border-right: 2px solid var(--ink); }
      .fx svg { width: 26px; height: 26px; }
      .fx i { display: none; font-style: normal; font-size: 1rem; }
      .te p { line-height: 1.2; margin-bottom: 5px; overflow-wrap: anywhere; }
      .te .key { width: 100%; }
      .tests { grid-column: 3 / -1; border-top: 2px solid var(--ink); padding: 8px 0 4px; }
      .tests li { padding: 5px 0; line-height: 1.26; }
      .tests .mains { max-width: 640px; }
      @container (max-width: 62.4rem) {
        .ca { grid-template-columns: 3rem 3.1rem minmax(0, 1fr); }
        .fx, .te, .tests { grid-column: 3; }
        .fx i { display: block; }
        .fx span { height: 54px; }
      }
      @container (max-width: 40rem) {
        .ca { grid-template-columns: 2.4rem 2.9rem minmax(0, 1fr); padding: 9px 10px; gap: 4px 8px; }
        .te, .tests { grid-column: 1 / -1; }
        .fx { flex-wrap: wrap; }
      }
    `,
  ];

  @property({ attribute: false }) cause!: Cause;
  @property({ type: Number }) rank = 1;
  @property({ attribute: false }) facts: readonly Fact[] = [];
  /** How its step stands on the job it came back from. */
  @property({ attribute: false }) stage: Stage | undefined = undefined;
  @property({ type: Boolean }) safety = false;
  /** The test to begin with, where it would show this cause. */
  @property({ attribute: false }) first: Test | undefined = undefined;
  /** A test spoke against it. */
  @property({ type: Boolean }) out = false;
  /** The outcome can be written down here. */
  @property({ type: Boolean }) tells = false;
  /** Why whoever is signed in can not write it down, as a sentence; '' = can. */
  @property() barred = '';
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  @state() private testing = false;
  @state() private shown = false;

  override render(): TemplateResult {
    const { cause, rank, out } = this;
    const stage = this.stage ?? STAGE_OF[cause.kind];
    return html`<div class="ca ${rank === 1 ? 'one' : ''}">
      <div class="rank"><span class="unseen">Rank </span>${rank}</div>
      <div>${stage ? html`<lb-bolt .stage=${stage} .safety=${this.safety}></lb-bolt>` : nothing}</div>
      <div class="ct">
        ${this.safety ? html`<lb-plate flat></lb-plate>` : nothing}
        <h2 class=${out ? 'struck' : ''}>${cause.title}</h2>
        <p><b>${out ? 'Tested: not it.' : `${sentence(KINDS[cause.kind])}`}</b> ${out ? '' : sentence(chanceText(cause.chance))}</p>
        <ul>${cause.because.map((text) => html`<li>${bearsMark('fits')}<span>${sentence(text)}</span></li>`)}${cause.against.map((text) => html`<li>${bearsMark('against')}<span>${sentence(text)}</span></li>`)}${this.silence()}</ul>
        ${cause.evidence.map((one) => this.evidence(one))}
      </div>
      <div class="fx" role="group" aria-label="How it stands with what is known">${this.facts.map((fact, i) => html`<span title=${fact.text}><span class="unseen">${fact.text}: </span><i aria-hidden="true">${i + 1}</i>${bearsMark(bearsOn(cause, fact))}</span>`)}</div>
      <div class="te">${this.testKey()}</div>
      ${this.testing ? this.tests() : nothing}
    </div>`;
  }

  /** What is known and speaks neither way is said too: silence is no evidence. */
  private silence(): TemplateResult | typeof nothing {
    const rest = this.facts.filter((fact) => bearsOn(this.cause, fact) === 'nothing');
    if (rest.length === 0) return nothing;
    return html`<li>${bearsMark('nothing')}<span class="soft">Says nothing of: ${rest.map(({ text }) => text.charAt(0).toLowerCase() + text.slice(1)).join('; ')}.</span></li>`;
  }

  private evidence({ text, by, at }: Evidence): TemplateResult {
    const when = at ? html` <span class="pen">${by}, ${clock(at, this.now)}</span>` : nothing;
    return html`<p class="soft">${by ? 'On record: ' : ''}${sentence(byTheClock(text, this.now))}${when}</p>`;
  }

  private testKey(): TemplateResult | typeof nothing {
    const { cause, testing, out, first } = this;
    // Doing it again tells only afterwards: whatever can be looked at or read comes before it.
    const test = first ?? cause.tests.find(({ kind }) => kind !== 'redo') ?? cause.tests[0];
    if (!test) return nothing;
    if (out)
      return html`<button type="button" class="key" aria-label="Not ruled out after all: ${cause.title}" @click=${() => this.rule(false)}>Not ruled out after all</button>`;
    return html`<p><b>${test.label}</b></p>
      <button type="button" class="key ${first ? 'full' : ''}" aria-expanded=${testing ? 'true' : 'false'} aria-label="Test it, ${minutesText(test.minutes)}: ${cause.title}" @click=${() => (this.testing = !testing)}>Test it, <span class="pen">${minutesText(test.minutes)}</span></button>`;
  }

  private tests(): TemplateResult {
    const { cause, shown, tells } = this;
    return html`<section class="tests" aria-label="Tests of ${cause.title}">
      <ul>${cause.tests.map((test) => html`<li><b>${test.label}</b>, <span class="pen">${minutesText(test.minutes)}</span>. ${sentence(test.tells)}</li>`)}</ul>
      ${
        shown
          ? html`<lb-outcome .cause=${cause}></lb-outcome>`
          : html`<div class="mains">
            <button type="button" class="key main ${tells ? 'full' : ''}" aria-disabled=${tells ? 'false' : 'true'} @click=${() => (this.shown = tells)}>${tells || this.barred ? 'This was it' : 'Open a job for it to write the outcome down'}</button>${this.barred ? html`<p class="soft">${this.barred}</p>` : nothing}
            <button type="button" class="key main" @click=${() => this.rule(true)}>Not it</button>
          </div>`
      }
    </section>`;
  }

  private rule(out: boolean): void {
    this.testing = false;
    this.shown = false;
    this.dispatchEvent(new Ruled(this.cause.id, out));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-cause-row': CauseRow;
  }
}
