import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { CheckItem } from '../../src/job/final-check.ts';
import type { Person } from '../../src/job/people.ts';
import type { Sight } from '../../src/job/sight.ts';
import type { Job } from '../../src/job/state.ts';
import '../gate/gate.ts';
import { type GoTo, LAMPS } from '../gate/go-to.ts';
import { barredFrom } from '../record/may.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { check } from './check.styles.ts';
import './check-row.ts';
import type { CheckTurned } from './check-row.ts';
import './lamps.ts';

/**
 * The foreman's list: derived, at most nine items a page, each confirmed by a value; then the lamps, then the gate.
 * @fires lb-said
 * @fires lb-go-to
 * @fires lb-photo-taken
 */
@customElement('lb-final-check')
export class FinalCheck extends LitElement {
  static override styles = [sheet, key, check];

  @property({ attribute: false }) sight!: Sight;
  /** Whoever is signed in. */
  @property({ attribute: false }) person: Person | undefined;
  /** A shop of one person: who did a step may check it, and the paper says so. */
  @property({ type: Boolean }) alone = false;
  /** Counted from 1. */
  @property({ type: Number }) page = 1;
  /** In reach; without it nothing is checked or released. */
  @property({ type: Boolean }) server = false;
  @state() private opened = '';

  override render(): TemplateResult {
    const { sight } = this;
    const { job } = sight;
    return html`<div class="columns" @lb-check-turned=${this.turned}>
      <div>
        ${this.top()} ${this.rows()} ${this.pages()}
        <section class="lamps" id=${LAMPS} tabindex="-1" aria-labelledby="lamps-name"><h2 id="lamps-name">Lamps at release</h2>${this.lamps()}</section>
      </div>
      <div class="side">
        ${job.status === 'open' ? html`<lb-gate .ro=${job.ro} .refusals=${sight.refusals} .items=${sight.items} .lines=${sight.safetyLines} .person=${this.person} .server=${this.server} @lb-go-to=${this.goTo}></lb-gate>` : nothing}
      </div>
    </div>`;
  }

  private get shownPage(): number {
    return Math.min(Math.max(1, this.page), this.sight.checks.length);
  }

  private top(): TemplateResult {
    const { checks } = this.sight;
    const items = checks[this.shownPage - 1] ?? [];
    const pages = checks.length > 1 ? ` Page ${this.shownPage} of ${checks.length}.` : '';
    return html`<h2 class="unseen">What to check</h2><p class="top"><b>Check it yourself, then write what you found.</b> ${items.length} of at most nine.${pages} A tick is not an answer here.</p>`;
  }

  private rows(): TemplateResult {
    const { checks, job } = this.sight;
    const before = checks.slice(0, this.shownPage - 1).flat().length;
    const items = checks[this.shownPage - 1] ?? [];
    return html`<ol class="list">
      ${items.map((item, i) => html`<li><lb-check-row ?last=${i === items.length - 1} .item=${item} .number=${before + i + 1} .done=${doneOf(item, job)} .units=${job.units} .barred=${this.barred(item)} .opened=${this.opened === item.id}></lb-check-row></li>`)}
    </ol>`;
  }

  private barred(item: CheckItem): string {
    const { person, alone } = this;
    if (this.sight.job.status !== 'open') return 'Not checked.';
    if (!person?.roles.includes('foreman')) return 'A foreman checks it.';
    if (!alone && item.hands.some((hand) => same(hand, person.name)))
      return 'You had a hand in it: somebody else checks it.';
    return this.server ? '' : 'No signal: it is checked with the server in reach.';
  }

  private pages(): TemplateResult | typeof nothing {
    const { checks } = this.sight;
    if (checks.length < 2) return nothing;
    const at = this.shownPage;
    const to = (page: number, text: string) =>
      html`<button type="button" class="key" @click=${() => this.turnTo(page)}>${text}</button>`;
    return html`<nav class="pages" aria-label="Pages of the check">
      ${at > 1 ? to(at - 1, '‹ Page before') : nothing}${at < checks.length ? to(at + 1, 'Next page ›') : nothing}
    </nav>`;
  }

  private lamps(): TemplateResult {
    const { job } = this.sight;
    const { intake, release } = job.lamps;
    const stale = release !== undefined && release.seq < job.touched;
    if (job.status !== 'open' && !release) return html`<p>Nobody wrote them down.</p>`;
    const barred = barredFrom('lamps', this.person);
    const asked = html`<lb-lamps when="release" .lamps=${release} .stale=${stale} .came=${intake?.lit ?? undefined} .barred=${barred}></lb-lamps>`;
    if (intake) return asked;
    return html`<p><b>Nobody wrote down which were lit when it came in.</b> Write it down as the work order or the customer says, or that nobody looked.</p>
      <lb-lamps when="intake" .barred=${barred}></lb-lamps>
      <h2>And now, with the engine running</h2>
      ${asked}`;
  }

  private turnTo(page: number): void {
    this.page = page;
    this.opened = '';
  }

  private readonly turned = ({ item }: CheckTurned): void => {
    this.opened = this.opened === item ? '' : item;
  };

  /** What is settled on this leaf is turned to here; the rest is somebody else's. */
  private readonly goTo = (event: GoTo): void => {
    const { leaf, step } = event;
    if (leaf !== 'check' || step === undefined) return;
    event.stopPropagation();
    void this.show(step);
  };

  /** Opens a line of the check, or turns to the lamps. */
  async show(step: string): Promise<void> {
    const page = this.sight.checks.findIndex((items) => items.some(({ id }) => id === step));
    if (page >= 0) {
      this.page = page + 1;
      this.opened = step;
    }
    await this.updateComplete;
    const rows = [...this.renderRoot.querySelectorAll('lb-check-row')];
    const row = rows.find(({ item }) => item.id === step);
    await row?.updateComplete;
    const place = row ?? this.renderRoot.querySelector<HTMLElement>(`#${LAMPS}`);
    place?.scrollIntoView({ block: 'start' });
    place?.focus({ preventScroll: true });
  }
}

/** A check that came before the thing last changed is none. */
function doneOf(item: CheckItem, job: Job): ReturnType<Job['checks']['get']> {
  const done = job.checks.get(item.id);
  return done && done.seq > item.since ? done : undefined;
}

function same(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase();
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-final-check': FinalCheck;
  }
}
