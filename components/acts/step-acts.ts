import { html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { keyed } from 'lit/directives/keyed.js';
import type { Asked } from '../../src/job/asked.ts';
import type { SeenItem } from '../../src/job/sight.ts';
import type { Job } from '../../src/job/state.ts';
import { waitEnds, waitRun } from '../../src/job/timing.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import type { FollowUp } from '../../src/rulebook/rulebook.ts';
import '../bolt/bolt.ts';
import { choice } from '../keys/choice.ts';
import type { Written } from '../pad/written.ts';
import '../photo/photo.ts';
import type { PhotoTaken } from '../photo/photo.ts';
import { Said, type Saying } from '../record/said.ts';
import { clock, spanText } from '../sheet/clock.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, placeText, sentence } from '../sheet/time.ts';
import { acts } from './acts.styles.ts';
import { draft, draftOf, settleDraft } from './draft.ts';
import './other-things.ts';
import './reading-row.ts';
import type { ReadingRow, Turned } from './reading-row.ts';
import { rivals } from './rivals.ts';
import { bars, beforeStart, beforeTook, isPlain, type Lack, roundOf, roundValues, valuesSaid } from './stands.ts';
import { ifItFails, told, tries } from './told.ts';

/**
 * What can be done with the step under the hand: one tap for a plain one, figures first where they show that it took.
 * A key that would be refused says why instead.
 * @fires lb-said
 * @fires lb-photo-taken
 */
@customElement('lb-step-acts')
export class StepActs extends LitElement {
  static override styles = [sheet, key, blank, acts];

  @property({ attribute: false }) item!: SeenItem;
  @property({ attribute: false }) job!: Job;
  @property({ attribute: false }) followUp!: FollowUp;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  /** It is in reach: figures go to it one by one. Out of reach they wait for the step's end, so that a second answer shows as one. */
  @property({ type: Boolean }) server = false;
  /** Whoever is signed in may say which of two answers stands. */
  @property({ type: Boolean }) foreman = false;
  @state() private turned: string | undefined;
  @state() private failing = false;
  @state() private lacking: readonly Lack[] = [];
  @state() private way: string | undefined;
  private follows = false;
  @query('#why') private readonly why!: HTMLTextAreaElement | null;

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('item')) return;
    const before = changed.get('item');
    settleDraft(this.round, roundValues(this.item));
    if (before?.id === this.item.id && before.stage === this.item.stage) return;
    this.turned = undefined;
    this.failing = false;
    this.lacking = [];
    this.way = undefined;
  }

  /** The hand goes on to what lies open next, once it is drawn. */
  override updated(): void {
    const next = this.follows ? this.renderRoot.querySelector<ReadingRow>('lb-reading-row[data-opened]') : null;
    if (!next) return;
    this.follows = false;
    void next.updateComplete.then(() => next.focus());
  }

  override render(): TemplateResult {
    const { item, job, followUp, now } = this;
    if (job.status !== 'open') return html`${told(item, followUp, now)}`;
    const barred = bars(item, followUp, job);
    return html`<div @lb-written=${this.written} @lb-turned=${this.turn}>
      ${told(item, followUp, now)} ${item.owner ? html`<p>It ends with the owner: the hand-over tells them.</p>` : nothing}
      ${item.record?.rivals ? rivals(item, this.foreman, this.now, (saying) => this.say(saying)) : item.stage === 'took' ? this.done() : this.doing(barred)}
    </div>`;
  }

  private get round(): string {
    return `${this.job.ro}/${this.item.id}/${roundOf(this.item)}`;
  }

  private get held(): ReadonlyMap<string, ReadingValue> {
    return new Map([...roundValues(this.item), ...draftOf(this.round)]);
  }

  private doing(barred: readonly string[]): TemplateResult {
    const { item } = this;
    if (item.stage === 'sent-out') return this.away(barred);
    if (barred.length > 0)
      return html`<section class="not-yet"><h3>Not yet</h3>${barred.map((text) => html`<p>${text}</p>`)}</section>
        ${item.was ? nothing : this.others(['sent-out', 'waiting', 'not-done'])}`;
    if (this.failing) return this.failed();
    return html`${this.hands()}${this.others()}`;
  }

  private hands(): TemplateResult {
    const { item, followUp, job } = this;
    const begun = item.stage === 'running';
    const over = item.stage === 'did-not-take' || item.stage === 'stuck' || item.stage === 'not-done';
    const plain = isPlain(item, followUp, job);
    if (over) return this.mains(this.startKey(item.stage === 'not-done' ? 'Do it after all' : 'Start again'), nothing);
    if (plain)
      return html`${this.readings('Before it starts', 'entry')}${this.wait()}${this.readings('To write down', 'proof')}${this.mains(this.tookKey(), this.failKey())}`;
    if (begun) {
      // Once it is in order, what was read before lies below: the pad and the keys belong into one view.
      const wanting = this.startLacks().length > 0;
      return html`${wanting ? this.entryDone() : nothing}${this.wait()}${this.readings('What shows that it took', 'proof')}${this.mains(this.tookKey(), this.failKey())}${wanting ? nothing : this.entryDone()}`;
    }
    return html`${this.readings('Before it starts', 'entry')}${this.ways()}${this.mains(this.startKey('Start'), nothing)}`;
  }

  private mains(first: TemplateResult, second: TemplateResult | typeof nothing): TemplateResult {
    return html`<div id="lacking" role="alert">${this.lacking.length > 0 ? html`<div class="strong then">${this.lacking.map(({ text }) => html`<p>${text}</p>`)}</div>` : nothing}</div>
      <div class="mains">${first}${second}</div>`;
  }

  private startKey(words: string): TemplateResult {
    const lacks = this.startLacks();
    return html`<button type="button" class="key main ${lacks.length > 0 ? '' : 'full'}" @click=${this.start}>
      <lb-bolt plain stage="running" .safety=${this.item.safety}></lb-bolt><span>${words}</span>
    </button>`;
  }

  private tookKey(): TemplateResult {
    const lacks = beforeTook(this.item, this.followUp, this.job, this.held, this.now);
    return html`<button type="button" class="key main ${lacks.length > 0 ? '' : 'full'}" @click=${this.took}>
      <lb-bolt plain stage="took" .safety=${this.item.safety}></lb-bolt><span>It took</span>
    </button>`;
  }

  private failKey(): TemplateResult {
    return html`<button type="button" class="key main" @click=${() => (this.failing = true)}>
      <lb-bolt plain stage="did-not-take" .safety=${this.item.safety}></lb-bolt><span>Did not take</span>
    </button>`;
  }

  private failed(): TemplateResult {
    return html`<section class="form" aria-label="It did not take">
      <p><b>${tries(this.item, this.followUp, this.item.way)}</b> ${ifItFails(this.item, this.followUp)}</p>
      <label>What was seen, if there is something to say<textarea id="why" rows="2" maxlength="2000"></textarea></label>
      <div class="mains">
        <button type="button" class="key main full" @click=${this.didNotTake}><lb-bolt plain stage="did-not-take" .safety=${this.item.safety}></lb-bolt><span>It did not take</span></button>
        <button type="button" class="key main" @click=${() => (this.failing = false)}>Go back</button>
      </div>
    </section>`;
  }

  private readings(title: string, when: Asked['when']): TemplateResult | typeof nothing {
    const asked = this.item.asked.filter((one) => one.when === when);
    if (asked.length === 0) return nothing;
    const { held } = this;
    // The first one that is wanted lies open; what may be left out is opened by who wants it.
    const opened = this.turned ?? asked.find(({ key: one, must }) => must && !held.has(one))?.key;
    return html`<section><h3>${title}</h3>${asked.map((one) => keyed(one.key, this.row(one, held.get(one.key), one.key === opened)))}</section>`;
  }

  private row(asked: Asked, value: ReadingValue | undefined, opened: boolean): TemplateResult {
    return html`<lb-reading-row .asked=${asked} .value=${value} .units=${this.job.units} .safety=${this.item.safety} .opened=${opened} ?data-opened=${opened}></lb-reading-row>`;
  }

  /** What was read before it started lies folded up, and can still be put right. */
  private entryDone(): TemplateResult | typeof nothing {
    const { held } = this;
    const entry = this.item.asked.filter(({ when }) => when === 'entry');
    if (entry.length === 0) return nothing;
    const open = entry.find(({ key: one, must }) => must && !held.has(one))?.key;
    return html`<section><h3>Before it started</h3>${entry.map((one) => this.row(one, held.get(one.key), one.key === (this.turned ?? open)))}</section>`;
  }

  private ways(): TemplateResult | typeof nothing {
    const { item, followUp } = this;
    if (item.ways.length < 2) return nothing;
    const options = item.ways.map((id) => ({
      value: id,
      text: capital(followUp.ways.find((way) => way.id === id)?.text.title ?? placeText(id)),
    }));
    return html`<section><h3>How it is done</h3>${choice('How it is done', options, [this.way ?? item.way ?? ''], (way) => (this.way = way))}</section>`;
  }

  private wait(): TemplateResult | typeof nothing {
    const ends = waitEnds(waitRun(this.item, this.followUp, this.job))?.ends;
    if (ends === undefined) return nothing;
    const left = ends - this.now;
    return html`<section><p class="count">${left > 0 ? spanText(left) : 'Over'}</p><p>${left > 0 ? 'Until' : 'Since'} <span class="told">${clock(ends, this.now)}</span></p></section>`;
  }

  /** It took: what ends it, and whether somebody says otherwise. */
  private done(): TemplateResult {
    const { item } = this;
    return html`${this.closing()}
      ${item.asked.map((one) => {
        const value = item.record?.values.get(one.key);
        return value ? this.row(one, value, false) : nothing;
      })}`;
  }

  private closing(): TemplateResult | typeof nothing {
    const { item, followUp, now } = this;
    const { closing, record } = item;
    if (!closing?.open || !record?.took) return nothing;
    const ends = Date.parse(record.took.at) + closing.seconds * 1000;
    const text = followUp.ways.find(({ id }) => id === item.way)?.text.closing?.text;
    const early = ends > now;
    return html`<section class="then"><p class="strong"><b>Not settled before it is closed.</b> ${text ? sentence(text) : 'What ends it is in the outline.'}</p>
      <div class="mains">
        <button type="button" class="key main ${early ? '' : 'full'}" aria-disabled=${early ? 'true' : 'false'} @click=${() => early || this.say({ type: 'closed', step: item.id })}>${early ? `Closed at ${clock(ends, now)}, in ${spanText(ends - now)}` : 'It is closed'}</button>
      </div></section>`;
  }

  private away(barred: readonly string[]): TemplateResult {
    if (barred.length > 0)
      return html`<section class="not-yet"><h3>Not yet back</h3>${barred.map((text) => html`<p>${text}</p>`)}</section>`;
    return html`${this.readings('What their paper says', 'proof')}
      <section><lb-photo label="It is back: photograph its paper" @lb-photo-taken=${this.cameBack}></lb-photo></section>${this.others(['not-done'])}`;
  }

  private others(only?: readonly ('sent-out' | 'waiting' | 'not-done' | 'stuck')[]): TemplateResult {
    return html`<lb-other-things .item=${this.item} .now=${this.now} .only=${only}></lb-other-things>`;
  }

  private readonly turn = ({ key: one }: Turned): void => {
    this.turned = this.turned === one ? '' : one;
    this.follows = true;
  };

  private readonly written = ({ key: one, value }: Written): void => {
    draft(this.round, one, value);
    this.follows = true;
    this.turned = undefined;
    this.lacking = [];
    const { item } = this;
    if (this.server && fresh(item)) this.say({ type: 'noted', step: item.id, values: { [one]: value } });
    this.requestUpdate();
  };

  private startLacks(): Lack[] {
    return fresh(this.item) || this.item.again ? beforeStart(this.item, this.held, this.job.units) : [];
  }

  private readonly start = (): void => {
    const { item, way } = this;
    this.lacking = this.startLacks();
    if (this.refuses()) return;
    this.follows = true;
    const started: Saying = { type: 'started', step: item.id, ...(way && way !== item.way ? { way } : {}) };
    const { values } = valuesSaid(item, draftOf(this.round));
    if (!values) return this.say(started);
    const noted: Saying = { type: 'noted', step: item.id, values };
    // A new round begins empty, so what belongs to it is said behind its start.
    this.say(...(fresh(item) ? [noted, started] : [started, noted]));
  };

  private readonly took = (): void => {
    this.lacking = beforeTook(this.item, this.followUp, this.job, this.held, this.now);
    if (this.refuses()) return;
    this.say({ type: 'took', step: this.item.id, ...valuesSaid(this.item, this.held) });
  };

  private readonly didNotTake = (): void => {
    const why = this.why?.value.trim();
    this.say({
      type: 'did-not-take',
      step: this.item.id,
      ...(why ? { why } : {}),
      ...valuesSaid(this.item, this.held),
    });
  };

  private readonly cameBack = ({ hash }: PhotoTaken): void => {
    queueMicrotask(() =>
      this.say({ type: 'returned', step: this.item.id, photo: hash, ...valuesSaid(this.item, this.held) }),
    );
  };

  /** Turns to the first reading that is wanting, so that the hand need not look for it. */
  private refuses(): boolean {
    const first = this.lacking.find(({ asked }) => asked)?.asked;
    if (first) this.turned = first.key;
    this.follows = first !== undefined;
    return this.lacking.length > 0;
  }

  private say(...sayings: Saying[]): void {
    this.dispatchEvent(new Said(sayings));
  }
}

/** What is noted now counts towards the round that is begun, or about to be. */
function fresh({ stage, again, record }: SeenItem): boolean {
  return (stage === 'open' || stage === 'running' || stage === 'waiting') && !(again && record?.took);
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-step-acts': StepActs;
  }
}
