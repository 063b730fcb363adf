import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { SelfTests } from '../../src/job/codes/self-tests.ts';
import type { ReadinessRead } from '../../src/job/state.ts';
import type { StationFacts, StationVerdict } from '../../src/scan/station.ts';
import { choice } from '../keys/choice.ts';
import { clock } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import { codes } from './codes.styles.ts';
import { testList } from './readiness-field.ts';

/** The car will be tested in another place than was written up. */
export class PlaceTold extends Event {
  static readonly type = 'lb-place-told';
  constructor(readonly place: NonNullable<StationFacts['place']>) {
    super(PlaceTold.type, { bubbles: true, composed: true });
  }
}

const PLACES: readonly (readonly [NonNullable<StationFacts['place']>, string])[] = [
  ['US', 'United States'],
  ['US-CA', 'California'],
  ['other', 'Elsewhere'],
];

const VERDICTS: Readonly<Record<StationVerdict['verdict'], string>> = {
  ready: 'A test station would take it.',
  'not-ready': 'A test station would send it away.',
  fails: 'It would fail at a test station.',
  ask: 'We can not tell: ask the station.',
};

/**
 * The self-tests as they were last read, whether a station would take the car, what those that are open ask for, and the
 * sentence for its owner. The slot takes what reads them again.
 * @fires lb-place-told
 */
@customElement('lb-self-tests')
export class SelfTestsSeen extends LitElement {
  static override styles = [
    sheet,
    key,
    codes,
    css`
      .made { border-top: 2px solid var(--ink); margin: 8px 0; }
      .made li { display: grid; grid-template-columns: 48px minmax(0, 1fr) auto; gap: 10px; align-items: center; min-height: 52px; border-bottom: 2px solid var(--ink); line-height: 1.15; }
      .made svg { width: 44px; height: 28px; }
      .wants li { padding: 6px 0; line-height: 1.26; }
      .wants li + li { border-top: 1px solid var(--edge); }
    `,
  ];

  @property({ attribute: false }) tests!: SelfTests;
  @property({ attribute: false }) station!: StationFacts;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  @state() private placing = false;

  override render(): TemplateResult {
    const { tests } = this;
    const read = tests.after ?? tests.before;
    return html`<h2>Self-tests of the exhaust system</h2>
      ${read ? this.readText(read) : html`<p>Nobody has read them on this job.</p>`}
      ${tests.readiness ? testList(tests.readiness.monitors) : nothing}
      ${tests.verdict ? this.verdict(tests.verdict) : nothing}
      ${this.wants()}
      ${tests.open.customer ? html`<p class="strong"><b>For the owner:</b> ${tests.open.customer} <span class="soft">Goes on the hand-over.</span></p>` : nothing}
      <slot></slot>`;
  }

  private readText({ at, by, modules }: ReadinessRead): TemplateResult {
    const { tests, now } = this;
    const lamp = modules.some(({ mil }) => mil) ? 'Lamp commanded on.' : '';
    const cleared = tests.cleared?.lately ? `Codes were cleared a short while ago: ${tests.cleared.because}.` : '';
    return html`<p>Read <span class="pen">${clock(at, now)}</span> by ${by}, ${tests.after ? 'after the work' : 'before the work'}. ${lamp} ${cleared}</p>
      ${tests.disagree.map((text) => html`<p class="strong">${sentence(text)}</p>`)}`;
  }

  private verdict({ verdict, because, source, doubts }: StationVerdict): TemplateResult {
    const { place, modelYear } = this.station;
    const where = PLACES.find(([id]) => id === place)?.[1] ?? (place === null ? 'place not known' : 'elsewhere');
    return html`<p><b>${VERDICTS[verdict]}</b> ${because.map((text) => `${sentence(text)} `)}</p>
      <p class="soft">Judged for ${where}, ${modelYear === null ? 'model year not known' : `model year ${modelYear}`}.</p>
      ${
        this.placing
          ? choice(
              'Where it will be tested',
              PLACES.map(([value, text]) => ({ value, text })),
              place === null ? [] : [PLACES.some(([id]) => id === place) ? place : 'other'],
              (value) => this.place(value as NonNullable<StationFacts['place']>),
            )
          : html`<div class="keys"><button type="button" class="key" @click=${() => (this.placing = true)}>Tested in another place</button></div>`
      }
      <details><summary>Who says so, and doubts</summary>
        ${source ? html`<p>${source.publisher}: ${source.title}, ${source.section}; ${READ[source.read]}.</p>` : html`<p>No figure was read for this place.</p>`}
        ${doubts.map((doubt) => html`<p>${sentence(doubt)}</p>`)}
      </details>`;
  }

  private wants(): TemplateResult | typeof nothing {
    const { tests, because, doubts } = this.tests.open;
    if (tests.length === 0) return nothing;
    return html`<h3>Still to run</h3><p>${sentence(because)}</p>
      <ul class="wants">${tests.map(({ title, wants, soak }) => html`<li><b>${capital(title)}</b>${soak ? ', after a rest' : ''}: ${sentence(wants).replace(/^./, (first) => first.toLowerCase())}</li>`)}</ul>
      <details><summary>Who says so</summary>
        ${tests.map(({ title, basis, sources }) => html`<p><b>${capital(title)}:</b> ${sources.join('; ')} (${basis.replaceAll('-', ' ')})</p>`)}
        ${doubts.map((doubt) => html`<p>${sentence(doubt)}</p>`)}
      </details>`;
  }

  private place(place: NonNullable<StationFacts['place']>): void {
    this.placing = false;
    this.dispatchEvent(new PlaceTold(place));
  }
}

const READ = {
  primary: 'read there',
  copy: 'read in a faithful copy',
  secondary: 'read in another publication that states it',
} as const;

declare global {
  interface HTMLElementTagNameMap {
    'lb-self-tests': SelfTestsSeen;
  }
}
