import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { type CodesSeen, codesOf, type CodeRow } from '../../src/job/codes.ts';
import { codeBookOf } from '../../src/job/codes/compared.ts';
import { clearingOf } from '../../src/job/codes/clearing.ts';
import { selfTestsOf, stationOf } from '../../src/job/codes/self-tests.ts';
import type { Person } from '../../src/job/people.ts';
import type { Sight } from '../../src/job/sight.ts';
import type { Scan } from '../../src/job/state.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import type { StationFacts } from '../../src/scan/station.ts';
import '../bolt/bolt.ts';
import '../check/lamps.ts';
import { lampText } from '../check/lamp-words.ts';
import { clock } from '../sheet/clock.ts';
import { barredFrom } from '../record/may.ts';
import { Said } from '../record/said.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { placeText, sentence } from '../sheet/time.ts';
import { didText } from '../work-line/line-maker.ts';
import './code-row.ts';
import { leaf } from './codes-leaf.styles.ts';
import { codes } from './codes.styles.ts';
import './explain.ts';
import './readiness-field.ts';
import './report.ts';
import type { PlaceTold } from './self-tests.ts';
import './self-tests.ts';
import { headline } from './words.ts';

type Opened = 'before' | 'after' | 'tests-before' | 'tests-after' | undefined;

/**
 * The leaf of codes: read before the work and after it, compared, tied; warning lamps; self-tests; and what clearing
 * codes would cost.
 * @fires lb-said
 */
@customElement('lb-codes')
export class Codes extends LitElement {
  static override styles = [sheet, key, codes, leaf];

  @property({ attribute: false }) sight!: Sight;
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Whoever is signed in: keys that the server would refuse to them are grey, with the reason. */
  @property({ attribute: false }) person: Person | undefined = undefined;
  /** Where the car will be tested; left out: as the job is written up. */
  @property({ attribute: false }) place: StationFacts['place'] | undefined = undefined;
  @property({ attribute: false }) modelYear: number | undefined = undefined;
  /** Where a step is read, by its id. */
  @property({ attribute: false }) stepHref: ((step: string) => string) | undefined = undefined;
  /** Milliseconds. */
  @property({ type: Number }) now = 0;
  private folded: Opened;
  private types: ReadonlySet<string> = new Set();
  @state() private opened: Opened;
  @state() private explaining = '';
  @state() private told: StationFacts['place'] | undefined;

  override willUpdate(changed: Map<PropertyKey, unknown>): void {
    const before = changed.get('sight') as Sight | undefined;
    if (changed.has('rulebook')) this.types = new Set(Object.keys(codeBookOf(this.rulebook)['failure-types']));
    if (!before) return;
    if (before.job.ro !== this.sight.job.ro) this.told = undefined;
    // What was written down folds its form up.
    const [was, is] = [before.job, this.sight.job];
    if (was.scans === is.scans && was.readiness === is.readiness && was.ro === is.ro) return;
    this.folded = was.ro === is.ro ? this.opened : undefined;
    this.opened = undefined;
  }

  /** The hand goes back to the key that had opened the form. */
  override updated(): void {
    if (this.folded) this.renderRoot.querySelector<HTMLElement>(`#${this.folded}`)?.focus();
    this.folded = undefined;
  }

  override render(): TemplateResult {
    const { sight, rulebook } = this;
    const seen = codesOf(sight, rulebook);
    const open = sight.job.status === 'open';
    return html`<p class="sum" role="status">${headline(seen)}</p>
      <div class="grid">
        <div>
          ${this.readings(seen, open)}
          ${seen.rows.length > 0 ? this.list(seen) : nothing}
          ${this.clearing(seen, open)} ${this.lamps(open)}
        </div>
        <div class="side">${this.selfTests(open)}</div>
      </div>`;
  }

  private readings({ before, after }: CodesSeen, open: boolean): TemplateResult {
    const { workDone } = this.sight.job;
    return html`<div class="readings">
        ${this.reading('before', 'Before the work', before, open && !workDone ? '' : workDone ? 'The work is done: what is read now was read after it.' : 'The job is closed.')}
        ${this.reading('after', 'After the work', after, open ? '' : 'The job is closed.')}
      </div>
      ${(this.opened === 'before' || this.opened === 'after') && !barredFrom('scanned', this.person) ? this.report(this.opened) : nothing}`;
  }

  private reading(when: 'before' | 'after', title: string, scan: Scan | undefined, shut: string): TemplateResult {
    const barred = barredFrom('scanned', this.person);
    const opened = this.opened === when && !barred;
    const count = new Set(scan?.codes.map(({ code }) => code)).size;
    const { scans, workDone } = this.sight.job;
    // The key that comes next on the way of the job is filled.
    const next = !scan && (when === 'before' ? !workDone : workDone !== undefined || scans.before !== undefined);
    const words = opened ? 'Put it away' : scan ? 'Read again' : 'Take a report down';
    return html`<section>
      <h2>${title}</h2>
      <p>${scan ? html`<span class="pen">${count === 0 ? 'no code' : count === 1 ? '1 code' : `${count} codes`}</span>, read <span class="pen">${clock(scan.at, this.now)}</span> by ${scan.by}.` : 'Not read.'} ${scan || !shut ? nothing : shut}</p>
      ${shut ? nothing : html`<div class="keys"><button type="button" id=${when} class="key ${next && !opened && !barred ? 'full' : ''}" aria-disabled=${barred ? 'true' : 'false'} aria-label="${words}, ${title.toLowerCase()}" aria-expanded=${opened ? 'true' : 'false'} @click=${() => barred || ((this.opened = opened ? undefined : when))}>${words}</button></div>`}
      ${shut || !barred ? nothing : html`<p class="soft">${barred}</p>`}
    </section>`;
  }

  private report(when: 'before' | 'after'): TemplateResult {
    const { job } = this.sight;
    return html`<section class="band" aria-label=${when === 'before' ? 'Report from before the work' : 'Report from after the work'}>
      <lb-report .when=${when} .scan=${job.scans[when]} .vin=${job.vehicle.vin ?? ''} .types=${this.types} .now=${this.now}></lb-report>
    </section>`;
  }

  private list(seen: CodesSeen): TemplateResult {
    return html`<div class="c h" aria-hidden="true"><div>Before</div><div></div><div>After</div><div>What it says, and whose it is</div></div>
      ${seen.rows.map((row) => html`<lb-code-row .row=${row} .href=${this.hrefOf(row.step?.id)} .offers=${this.offersFor(row)} .barred=${barredFrom('explained', this.person)} .now=${this.now}></lb-code-row>`)}`;
  }

  private clearing(seen: CodesSeen, open: boolean): TemplateResult | typeof nothing {
    const { price, warnings, step, cleared } = clearingOf(this.sight, seen, this.rulebook);
    const href = this.hrefOf(step?.id);
    const barred = barredFrom('codes-cleared', this.person);
    const told = cleared
      ? html`<p>Cleared <span class="pen">${clock(cleared.at, this.now)}</span> by ${cleared.by}${cleared.title ? html`, by ${cleared.title}` : nothing}.</p>`
      : nothing;
    if (!open) return cleared ? html`<section class="band"><h2>Codes were cleared</h2>${told}</section>` : nothing;
    return html`<section class="band">
      <h2>Before codes are cleared</h2>
      ${told}
      <p>${price}</p>
      ${warnings.map((text) => html`<p class="strong"><b>Not yet:</b> ${sentence(text)}</p>`)}
      ${
        step
          ? html`<p class="step"><lb-bolt plain .stage=${step.stage} .safety=${step.safety}></lb-bolt>${href ? html`<a class="alone" href=${href}>${step.title}</a>` : html`<b>${step.title}</b>`}</p>`
          : html`<p class="soft">No step of this job asks for it. Where it was done all the same, the record has to know:</p>
            <div class="keys"><button type="button" class="key" aria-disabled=${barred ? 'true' : 'false'} @click=${() => barred || this.cleared()}>Codes were cleared</button></div>
            ${barred ? html`<p class="soft">${barred}</p>` : nothing}`
      }
    </section>`;
  }

  private cleared(): void {
    this.dispatchEvent(new Said([{ type: 'codes-cleared' }]));
  }

  private selfTests(open: boolean): TemplateResult | typeof nothing {
    const { sight, rulebook } = this;
    const station = this.station();
    const tests = selfTestsOf(sight, rulebook, station);
    if (!tests) return html`<section><h2>Self-tests of the exhaust system</h2><p>This car has none.</p></section>`;
    return html`<section><lb-self-tests .tests=${tests} .station=${station} .now=${this.now} @lb-place-told=${this.placed}>${open ? this.testsKeys() : nothing}</lb-self-tests></section>`;
  }

  private testsKeys(): TemplateResult {
    const { workDone } = this.sight.job;
    const barred = barredFrom('readiness-read', this.person);
    if (barred) return html`<p class="soft">${barred}</p>`;
    const keys = (
      [
        ['tests-before', 'before the work'],
        ['tests-after', 'after the work'],
      ] as const
    ).filter(([id]) => !(workDone && id === 'tests-before'));
    return html`<div class="keys">${keys.map(([id, text]) => html`<button type="button" id=${id} class="key" aria-expanded=${this.opened === id ? 'true' : 'false'} @click=${() => (this.opened = this.opened === id ? undefined : id)}>${this.opened === id ? 'Put it away' : `Read ${text}`}</button>`)}</div>
      ${this.opened?.startsWith('tests-') ? html`<lb-readiness .when=${this.opened === 'tests-before' ? 'before' : 'after'}></lb-readiness>` : nothing}`;
  }

  private lamps(open: boolean): TemplateResult {
    const { job, refusals } = this.sight;
    const { intake, release } = job.lamps;
    const lit = refusals.filter(({ rule }) => rule === 'new-lamp');
    const stale = release !== undefined && release.seq < job.touched;
    if (!open && !intake) return html``;
    const barred = open ? barredFrom('lamps', this.person) : 'The job is closed.';
    return html`<section class="band lamps">
      <h2>Warning lamps</h2>
      <h3>When it came in</h3><lb-lamps when="intake" .lamps=${intake} .barred=${barred}></lb-lamps>
      ${job.workDone || release ? html`<h3>For release</h3><lb-lamps when="release" .lamps=${release} .stale=${stale} .came=${intake?.lit ?? undefined} .barred=${barred}></lb-lamps>` : nothing}
      ${lit.map(({ item }) => this.newLamp(item))}
      <details><summary>Why they are written down twice</summary>
        <p>In the United States a repair shop may not knowingly make a safety device of a car inoperative (49 USC 30122(b)). What was lit when the car came in, beside what is lit when it goes, shows whose a lamp is. Elsewhere the law of the place rules; the two readings are good practice everywhere.</p>
      </details>
    </section>`;
  }

  private newLamp(lamp: string): TemplateResult {
    const barred = barredFrom('explained', this.person);
    const explaining = this.explaining === lamp;
    const words = explaining ? 'Put it away' : 'Explain it';
    return html`<div class="strong">
      <p><b>The ${lampText(lamp).toLowerCase()} lamp was not lit when it came in.</b> Put it right and read again, or explain it.</p>
      <div class="keys"><button type="button" class="key" aria-disabled=${barred ? 'true' : 'false'} aria-label="${words}: ${lampText(lamp)} lamp" aria-expanded=${explaining ? 'true' : 'false'} @click=${() => barred || ((this.explaining = explaining ? '' : lamp))}>${words}</button></div>
      ${barred ? html`<p class="soft">${barred}</p>` : nothing}
      ${explaining && !barred ? html`<lb-explain .about=${{ lamp }}></lb-explain>` : nothing}
    </div>`;
  }

  private station(): StationFacts {
    const written = stationOf(this.sight, this.rulebook);
    const place = this.told ?? this.place ?? written.place;
    return { ...written, place, modelYear: this.modelYear ?? written.modelYear };
  }

  private readonly placed = ({ place }: PlaceTold): void => {
    this.told = place;
  };

  private hrefOf(step: string | undefined): string {
    return step ? (this.stepHref?.(step) ?? '') : '';
  }

  /** What may explain a code in one tap: the step that it belongs to, then each work line. */
  private offersFor(row: CodeRow): string[] {
    const { items, sheet: written } = this.sight;
    const named = items.filter(
      ({ followUp, stage }) =>
        stage !== 'took' && (followUp === row.step?.followUp || row.meaning.calls.includes(followUp)),
    );
    const lines = written.file.work.map(({ part, did, at }) => {
      const title = this.rulebook.parts.get(part)?.text.title ?? placeText(part);
      return `Left by the work: ${[title, didText(did), [at ?? []].flat().map(placeText).join(' and ')].filter(Boolean).join(', ')}`;
    });
    return [...named.map(({ title }) => `Belongs to ${title}`), ...new Set(lines)];
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-codes': Codes;
  }
}
