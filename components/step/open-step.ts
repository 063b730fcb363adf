import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Step } from '../../src/checklist.ts';
import type { FollowUp, Rulebook, Way } from '../../src/rulebook/rulebook.ts';
import { type Stage, stageWord } from '../bolt/bolt.ts';
import '../bolt/bolt.ts';
import '../plate/plate.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, minutesText, placeText, sentence } from '../sheet/time.ts';
import { blankList, causeTree, hasDepth } from './lists.ts';
import { openStep } from './open-step.styles.ts';
import { confirm, waitAsked, wasDone } from './asked.ts';
import { type Blank, blanks } from './readings.ts';
import { reasons } from './reasons.ts';
import { sources } from './sources.ts';
import { type Car, speaking } from './speaks.ts';

/** Another step that this one waits for or holds up. */
export interface Neighbour {
  readonly number: number;
  readonly title: string;
  readonly safety: boolean;
  readonly href: string;
  readonly because: string;
  readonly stage?: Stage;
}

const SETS_IN = {
  'at-once': 'at once',
  'same-day': 'the same day',
  days: 'within days',
  weeks: 'within weeks',
  months: 'within months',
} as const;

/**
 * The step under the hand, in full. The slot `values` holds what is written down and what can be done
 * with it, instead of the blanks; `acts` what lies across its foot.
 * @fires lb-answered
 */
@customElement('lb-open-step')
export class OpenStep extends LitElement {
  static override styles = [sheet, key, blank, openStep];

  @property({ attribute: false }) step!: Step;
  @property({ attribute: false }) followUp!: FollowUp;
  @property({ attribute: false }) rulebook!: Rulebook;
  @property({ attribute: false }) car!: Car;
  @property({ type: Number }) number = 0;
  @property({ attribute: false }) waitsFor: readonly Neighbour[] = [];
  /** Minutes of waiting that somebody read off. */
  @property({ attribute: false }) waitRead: number | undefined;
  /** Questions that decide between ways. */
  @property({ attribute: false }) wayOpen: readonly { readonly text: string; readonly href: string }[] = [];
  /** Questions on which its place in the order rests. */
  @property({ attribute: false }) placeOpen: readonly { readonly text: string; readonly href: string }[] = [];
  @property({ attribute: false }) holdsUp: readonly Neighbour[] = [];
  @property() stage: Stage = 'open';
  /** What has become of it, as a sentence. */
  @property() since = '';
  /** Where everything that the rulebook says of it can be read. */
  @property() book = '';
  /** Its readings are written down where it is worked, so their blanks are not shown beside it. */
  @property({ type: Boolean }) worked = false;

  override render(): TemplateResult {
    const { step, followUp } = this;
    const way = followUp.ways.find(({ id }) => id === step.way);
    return html`<article aria-labelledby="name">
      <div class="top">
        <lb-bolt .stage=${this.stage} .safety=${step.safety}></lb-bolt>
        <h2 id="name">${this.number}&ensp;${step.title}</h2>
        ${step.safety ? html`<lb-plate flat></lb-plate>` : nothing}
        <div class="state">${stageWord(this.stage)}, ${step.level}<br />${this.since || this.time()}</div>
      </div>
      ${this.why()}
      <div class="columns">
        <div>
          ${this.neighbours('Waits for', this.waitsFor)} ${this.orderOpen()} ${this.outline(way)} ${this.cautions(way)} ${this.proofWords(way)}
          ${this.neighbours('Holds up', this.holdsUp)} ${this.rest(way)}
          <p class="soft">Outline only; the maker's procedure rules.</p>
          ${this.book ? html`<a class="alone screen" href=${this.book}>What the rulebook says</a>` : nothing}
          ${sources(followUp, this.rulebook)}
        </div>
        <div>${this.answersFirst(way)}<slot name="values">${this.worked ? nothing : this.values(way)}</slot></div>
      </div>
      <slot name="acts"></slot>
    </article>`;
  }

  private time(): string {
    const { hands, wait, ask } = this.step.minutes;
    const parts = [
      hands > 0 ? `about ${minutesText(hands)}` : '',
      wait > 0 ? `${ask ? 'at least ' : ''}${minutesText(wait)} waiting` : '',
    ];
    return capital(parts.filter(Boolean).join(', ')) || 'No time of its own';
  }

  private why(): TemplateResult {
    const skipped = speaking(this.followUp.text.skipped, this.car);
    const harm = skipped.map(
      ({ notice, silent, 'sets-in': when }) =>
        `${sentence(notice).slice(0, -1)}, ${SETS_IN[when]}${silent ? ', and nothing lights up' : ''}.`,
    );
    return html`<div class="why">
      <p><b class="label">Why it is here:</b> ${reasons(this.step.because, 3)}</p>
      ${harm.length > 0 ? html`<p><b class="label">If skipped:</b> ${harm.join(' ')}</p>` : nothing}
      ${hasDepth(this.step.causes) || this.step.because.length > 1 ? html`<details class="tree screen"><summary>All reasons, as a chain</summary>${causeTree(this.step.causes)}</details>` : nothing}
    </div>`;
  }

  private neighbours(title: string, list: readonly Neighbour[]): TemplateResult | typeof nothing {
    if (list.length === 0) return nothing;
    return html`<section>
      <h3>${title}</h3>
      <ul>
        ${list.map(
          (other) => html`<li class="waits">
            <lb-bolt .safety=${other.safety} .stage=${other.stage ?? 'open'}></lb-bolt>
            <span><a href=${other.href}>${other.number} ${other.title}</a>${other.because ? html`<br />${sentence(other.because)}` : ''}</span>
          </li>`,
        )}
      </ul>
    </section>`;
  }

  private orderOpen(): TemplateResult | typeof nothing {
    if (this.placeOpen.length === 0) return nothing;
    return html`<section><p><b>Its place in the order waits for:</b> ${this.placeOpen.map((question) => html`<a href=${question.href}>${question.text}</a> `)}</p></section>`;
  }

  private outline(way: Way | undefined): TemplateResult {
    const lines = way?.text.outline ?? [];
    const closing = way?.text.closing;
    const end = closing ? this.closing(closing) : '';
    return html`<section>
      <h3>How${this.wayTitle(way)}</h3>
      ${this.wayOpen.length > 0 ? html`<p>The longest way is planned until it is known: ${this.wayOpen.map((question) => html`<a href=${question.href}>${question.text}</a> `)}</p>` : nothing}
      <ol class="outline">${lines.map((line) => html`<li>${capital(line)}</li>`)}${end ? html`<li>${end}</li>` : nothing}</ol>
    </section>`;
  }

  private wayTitle(way: Way | undefined): string {
    const name = way?.text.title ?? (this.followUp.ways.length > 1 ? placeText(this.step.way) : '');
    const tool = this.rulebook.setups.tools[this.step.tool];
    const words = [
      name.charAt(0).toLowerCase() + name.slice(1),
      tool && this.step.tool !== 'none' ? `with ${tool.short ?? tool.title}` : '',
    ]
      .filter(Boolean)
      .join(', ');
    return words ? `: ${words}` : '';
  }

  private closing(closing: NonNullable<Way['text']['closing']>): string {
    const { wait, text, sources: _sources, ...setup } = closing;
    const states = Object.entries(setup).map(
      ([dimension, value]) =>
        `${dimension} ${this.rulebook.setups.dimensions[dimension]?.values[String(value)]?.title ?? String(value)}`,
    );
    const length = wait
      ? [wait.hours && `${wait.hours} h`, wait.minutes && `${wait.minutes} min`, wait.seconds && `${wait.seconds} s`]
          .filter(Boolean)
          .join(' ')
      : '';
    return sentence(
      [text, states.length > 0 ? `At the end: ${states.join(', ')}` : '', length ? `wait ${length}` : '']
        .filter(Boolean)
        .join('; '),
    );
  }

  private cautions(way: Way | undefined): TemplateResult | typeof nothing {
    const all = [...(way?.text.cautions ?? []), ...(this.followUp.text.cautions ?? [])];
    if (all.length === 0) return nothing;
    return html`<section>${all.map((text) => html`<p class="caution"><b>Caution.</b> ${sentence(text)}</p>`)}</section>`;
  }

  private proofWords(way: Way | undefined): TemplateResult | typeof nothing {
    const proof = this.proof(way);
    if (proof.length === 0) return nothing;
    const words = proof.map(({ label, choices, limits }) =>
      [label, choices[0] ?? limits.join('; ')].filter(Boolean).join(': '),
    );
    return html`<section><h3>It took, if</h3><ul class="plain">${words.map((word) => html`<li>${word}</li>`)}</ul></section>`;
  }

  private proof(way: Way | undefined): Blank[] {
    return blanks([...(way?.text.proof ?? []), ...(this.followUp.text.proof ?? [])], this.car, this.rulebook.makers);
  }

  private rest(way: Way | undefined): TemplateResult | typeof nothing {
    const { step, followUp } = this;
    const told = way?.text['owner-told'] ?? followUp.text['owner-told'];
    const tries = way?.text.tries;
    const notes = [
      step.onOrder ? `It is on the repair order: ${step.onOrder}` : '',
      ...step.covers.map((inner) => `Done within it: ${inner.title}`),
      step.ways.length > 1 ? `Ways open on this car: ${step.ways.map(placeText).join(', ')}` : '',
      tries ? `At most ${tries.most} ${tries.most === 1 ? 'try' : 'tries'}; then ${tries.then}` : '',
      step.finish === 'owner' ? `It ends with the owner${told ? `: ${told}` : ''}` : '',
      step.block ? 'This step and others wait for each other in a ring: do them in the order of the maker' : '',
      step.toolMissing ? 'No tool for it here: send it out' : '',
    ].filter(Boolean);
    if (notes.length === 0) return nothing;
    return html`<section><ul class="plain">${notes.map((note) => html`<li>${sentence(note)}</li>`)}</ul></section>`;
  }

  private answersFirst(way: Way | undefined): TemplateResult | typeof nothing {
    const wait = way?.text.minutes?.wait;
    const asked = [
      // Of those before the work it is asked where they stand, on their own leaf.
      ...(this.step.asked && this.step.phase === 'apart' ? [wasDone(this.followUp.id, this.step, this)] : []),
      ...this.step.confirms.map((one) => confirm(one, this)),
      ...(typeof wait === 'object' ? [waitAsked(wait.ask, `wait:${this.followUp.id}`, this.waitRead, this)] : []),
    ];
    return asked.length > 0 ? html`<section><h3>Answer first</h3>${asked}</section>` : nothing;
  }

  private values(way: Way | undefined): TemplateResult {
    const entry = blanks(way?.text.entry, this.car, this.rulebook.makers);
    const boxes = this.step.boxes.map(
      (box): Blank => ({ label: capital(placeText(box)), unit: '', limits: [], choices: [] }),
    );
    return html`${blankList('Before it starts', entry)} ${blankList('To write down', this.proof(way))}
    ${blankList('One for each', boxes)}
    ${entry.length + boxes.length + this.proof(way).length === 0 ? html`<p class="soft">No value is asked.</p>` : nothing}`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-open-step': OpenStep;
  }
}
