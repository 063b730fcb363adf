import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Back, Cause, Comeback } from '../../src/job/comeback/comeback.ts';
import type { Person } from '../../src/job/people.ts';
import type { SeenItem, Sight } from '../../src/job/sight.ts';
import type { Job } from '../../src/job/state.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import { acts } from '../acts/acts.styles.ts';
import { barredFrom } from '../record/may.ts';
import { clock } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { minutesText, sentence } from '../sheet/time.ts';
import type { Ruled } from './cause-row.ts';
import './cause-row.ts';
import { factsOf } from './facts.ts';
import { bearsMark } from './marks.ts';
import type { OldStep } from './outcome.ts';
import './outcome.ts';
import { KINDS, standsOut } from './words.ts';

/**
 * It came back: the complaint as told, what may have been missed with its reasons, the cheapest test first, and what it
 * turned out to be.
 * @fires lb-said
 */
@customElement('lb-comeback')
export class CameBack extends LitElement {
  static override styles = [
    sheet,
    key,
    acts,
    css`
      :host { container-type: inline-size; }
      .said { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); border-bottom: 4px solid var(--ink); }
      .said > div { padding: 10px 16px; }
      .said > div + div { border-left: 2px solid var(--ink); }
      blockquote { margin: 0; font: 560 1.25rem/1.3 var(--pen); letter-spacing: -0.02em; overflow-wrap: anywhere; }
      .facts li { display: grid; grid-template-columns: 24px minmax(0, 1fr); line-height: 1.27; }
      .facts .pen { font-weight: 700; }
      .sum { padding: 10px 16px; border-bottom: 2px solid var(--ink); font-size: var(--t-step); line-height: 1.25; }
      .sum + .sum { font-size: var(--t-body); }
      .h { display: grid; grid-template-columns: 3.5rem 3.25rem minmax(0, 1fr) auto 14.75rem; gap: 4px 12px; font-weight: 800; border-bottom: 4px solid var(--ink); padding: 6px 16px 4px 12px; align-items: end; line-height: 1.12; }
      .fx { display: flex; }
      .fx span { display: grid; place-items: center; font: 700 1.125rem/1 var(--pen); border-left: 2px solid var(--ink); height: 24px; width: 2.6rem; }
      .fx span:last-child { border-right: 2px solid var(--ink); }
      .none { display: flex; gap: 14px; align-items: center; padding: 10px 16px 16px; flex-wrap: wrap; }
      .none > p { flex: 1 1 300px; line-height: 1.5; }
      .none svg { display: inline-block; width: 17px; height: 17px; vertical-align: -2px; }
      .afresh { padding: 0 16px 20px; max-width: 760px; }
      @container (max-width: 62.4rem) {
        .h { grid-template-columns: minmax(0, 1fr); }
        .h > :not(.title) { display: none; }
      }
      @container (max-width: 40rem) {
        .said { grid-template-columns: minmax(0, 1fr); }
        .said > div + div { border-left: 0; border-top: 2px solid var(--ink); }
      }
    `,
  ];

  @property({ attribute: false }) answer!: Comeback;
  /** What was asked: words, codes, days. */
  @property({ attribute: false }) back!: Back;
  /** The job it came back as: there the outcome is written down. */
  @property({ attribute: false }) job: Job | undefined = undefined;
  /** The job it came back from, where its record is at hand. */
  @property({ attribute: false }) old: Sight | undefined = undefined;
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Whoever is signed in. */
  @property({ attribute: false }) person: Person | undefined = undefined;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  @state() private out: ReadonlySet<string> = new Set();
  @state() private afresh = false;
  @state() private again = false;

  override willUpdate(changed: Map<PropertyKey, unknown>): void {
    if (changed.has('answer') && changed.get('answer') !== undefined && this.other(changed)) this.out = new Set();
    const before = changed.get('job') as Job | undefined;
    if (before && before.outcomes.length !== this.job?.outcomes.length) {
      this.again = false;
      this.afresh = false;
    }
  }

  override render(): TemplateResult {
    const { answer } = this;
    const { head, rest } = standsOut(answer);
    return html`${this.told()} ${this.outcome()}
      <p class="sum" role="status"><b>${head}</b> ${rest}</p>
      ${this.first()} ${answer.causes.length > 0 ? this.list() : nothing} ${this.none()}`;
  }

  private told(): TemplateResult {
    const { says } = this.back;
    const { unknown } = this.answer.heard;
    return html`<section class="said" aria-label="The complaint">
      <div><b class="label">The owner says</b>${says ? html`<blockquote>"${says}"</blockquote>` : html`<p>Nothing is told; only codes were read.</p>`}
        ${unknown.length > 0 ? html`<p class="soft">Words that the rulebook does not know: ${unknown.join(', ')}.</p>` : nothing}</div>
      <div><b class="label">What is known</b><ol class="facts">${factsOf(this.back).map(({ text }, i) => html`<li><span class="pen">${i + 1}</span><span>${text}</span></li>`)}</ol></div>
    </section>`;
  }

  /** What it turned out to be, where somebody wrote it down. */
  private outcome(): TemplateResult | typeof nothing {
    const said = this.job?.outcomes.at(-1);
    if (!said) return nothing;
    const title = said.followUp
      ? (this.rulebook.followUps.get(said.followUp)?.title ?? said.followUp)
      : 'Something else';
    return html`<section class="sum" aria-label="What it was">
      <p><b>It was: ${title}</b>, ${KINDS[said.cause]}. ${said.note ? html`<span class="pen">${said.note}</span>` : nothing} <span class="soft">${said.by}, ${clock(said.at, this.now)}</span></p>
      ${this.again ? nothing : html`<button type="button" class="key" aria-disabled=${this.barred ? 'true' : 'false'} @click=${() => this.barred || ((this.again = true))}>It was something else</button>`}
      ${this.barred ? html`<p class="soft">${this.barred}</p>` : nothing}
    </section>`;
  }

  private first(): TemplateResult | typeof nothing {
    const { first, causes } = this.answer;
    if (!first) return nothing;
    const confirms = causes.filter(({ id }) => first.confirms.includes(id)).map(({ title }) => title);
    return html`<p class="sum"><b>Begin with:</b> ${first.test.label}, <span class="pen">${minutesText(first.test.minutes)}</span>. ${sentence(first.test.tells)} ${confirms.length > 0 ? `It tells of ${confirms.join(', ')}.` : ''}</p>`;
  }

  private list(): TemplateResult {
    const { causes, first } = this.answer;
    const facts = factsOf(this.back);
    const ro = this.job?.cameBack?.ro ?? this.old?.job.ro ?? '';
    return html`<div class="h" aria-hidden="true"><span></span><span></span><span class="title">What may have been missed${ro ? ` on ${ro}` : ''}, likeliest first</span><span class="fx">${facts.map((_, i) => html`<span>${i + 1}</span>`)}</span><span>The cheapest test that tells</span></div>
      <div @lb-ruled=${this.ruled}>
        ${causes.map((cause, i) => {
          const item = this.itemOf(cause);
          return html`<lb-cause-row .cause=${cause} .rank=${i + 1} .facts=${facts} .stage=${item?.stage} .safety=${this.isSafety(cause, item)} .first=${first?.confirms.includes(cause.id) ? first.test : undefined} .out=${this.out.has(cause.id)} .tells=${this.tells && !this.barred} .barred=${this.barred} .now=${this.now}></lb-cause-row>`;
        })}
      </div>`;
  }

  private none(): TemplateResult {
    const { answer } = this;
    const left = answer.causes.filter(({ id }) => !this.out.has(id)).length;
    const due = answer.afresh.advised || left === 0;
    return html`<div class="none">
        <p>${bearsMark('fits')} <b>Filled disc:</b> fits. ${bearsMark('against')} <b>Cross:</b> speaks against it. ${bearsMark('nothing')} <b>Dash:</b> says nothing.</p>
        <button type="button" class="key main ${due ? 'full' : ''}" aria-expanded=${this.afresh || this.again ? 'true' : 'false'} @click=${this.turnAfresh}>None of these. Look afresh</button>
      </div>
      ${this.afresh || this.again ? this.afreshForm() : nothing}`;
  }

  private afreshForm(): TemplateResult {
    const { because } = this.answer.afresh;
    return html`<section class="afresh" aria-label="Look afresh">
      <p>Diagnose it as a car that was never here${because.startsWith('if ') ? ' ' : ': '}${because}.</p>
      ${this.barred ? html`<p>${this.barred}</p>` : this.tells ? html`<lb-outcome .steps=${this.oldSteps()}></lb-outcome>` : html`<p><b>The outcome is written down on the job it came back as:</b> open one for it first.</p>`}
    </section>`;
  }

  private get barred(): string {
    return this.tells ? barredFrom('outcome-told', this.person) : '';
  }

  private get tells(): boolean {
    return this.job?.cameBack !== undefined;
  }

  private itemOf({ id, kind }: Cause): SeenItem | undefined {
    return kind === 'elsewhere' ? undefined : this.old?.items.find(({ followUp }) => followUp === id);
  }

  private isSafety({ id, kind }: Cause, item: SeenItem | undefined): boolean {
    if (kind === 'elsewhere') return false;
    return item?.safety ?? this.rulebook.followUps.get(id)?.safety ?? false;
  }

  private oldSteps(): OldStep[] {
    const steps = new Map((this.old?.items ?? []).map(({ followUp, title }) => [followUp, title]));
    return [...steps].map(([followUp, title]) => ({ followUp, title })).sort((a, b) => (a.title < b.title ? -1 : 1));
  }

  private other(changed: Map<PropertyKey, unknown>): boolean {
    const before = changed.get('answer') as Comeback;
    return before.causes.map(({ id }) => id).join() !== this.answer.causes.map(({ id }) => id).join();
  }

  private readonly ruled = ({ id, out }: Ruled): void => {
    const ruled = new Set(this.out);
    if (out) ruled.add(id);
    else ruled.delete(id);
    this.out = ruled;
  };

  private readonly turnAfresh = (): void => {
    const open = this.afresh || this.again;
    this.again = false;
    this.afresh = !open;
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-comeback': CameBack;
  }
}
