import '../../components/head/leaf-head.ts';
import './screens/bay-sheet.ts';
import './screens/before-leaf.ts';
import './screens/car-leaf.ts';
import './screens/new-job.ts';
import './screens/route-leaf.ts';
import './screens/write-up.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { key, sheet } from '../../components/sheet/sheet.styles.ts';
import { minutesText } from '../../components/sheet/time.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { newJob } from './job.ts';
import { lastBolt } from './last-bolt.styles.ts';
import { openQuestions, plan, type Planned, stepsOf } from './plan.ts';
import { printed } from './printed.ts';
import { LEAF_NAMES, leafNumber, linkTo, type Place, readPlace, turns } from './routes.ts';
import type { JobBegun } from './screens/new-job.ts';
import type { JobChanged } from './screens/leaf.ts';
import { type Started, start } from './start.ts';
import { chooseTheme, theme } from './theme.ts';
import { carName } from './vehicle.ts';

type OnLeaf = Extract<Place, { ro: string }>;

/** The whole page: head, the open leaf, foot. */
@customElement('last-bolt')
export class LastBolt extends LitElement {
  static override styles = [sheet, key, lastBolt];

  @state() private started: Started | undefined;
  @state() private trouble = '';
  @state() private place: Place = readPlace(location.hash);

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('hashchange', this.turned);
    void this.begin();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('hashchange', this.turned);
  }

  override render(): TemplateResult {
    if (this.trouble)
      return html`<main class="sheet"><lb-leaf-head name="Last Bolt cannot open"></lb-leaf-head><p class="notice" role="alert">${this.trouble}</p></main>`;
    if (!this.started)
      return html`<main class="sheet"><p class="notice" role="status">Opening the rulebook.</p></main>`;
    const tag = this.place.at === 'before' ? 'bench' : '';
    return html`<main class=${tag} tabindex="-1">${this.notices(this.started)}${this.leaf(this.started)}</main>${this.foot(this.started)}`;
  }

  override updated(): void {
    const { place } = this;
    const job = 'ro' in place ? `${place.ro}, ` : '';
    const name = place.at === 'bay' ? 'Bay sheet' : place.at === 'new' ? 'Write up a car' : LEAF_NAMES[place.at];
    document.title = `${job}${name} - Last Bolt`;
  }

  private async begin(): Promise<void> {
    try {
      const started = await start();
      started.jobs.addEventListener('change', () => this.requestUpdate());
      this.started = started;
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  private readonly turned = (): void => {
    const before = this.place;
    this.place = readPlace(location.hash);
    const sameLeaf = 'ro' in before && 'ro' in this.place && before.ro === this.place.ro && before.at === this.place.at;
    if (sameLeaf) return;
    window.scrollTo(0, 0);
    void this.updateComplete.then(() => this.greet());
  };

  /** A turned leaf is where reading goes on, unless it has put the hand into a field itself. */
  private greet(): void {
    if (this.shadowRoot?.activeElement) return;
    this.renderRoot.querySelector('main')?.focus({ preventScroll: true });
  }

  private leaf({ rulebook, jobs }: Started): TemplateResult {
    const { place } = this;
    if (place.at === 'bay') return this.bay({ rulebook, jobs });
    if (place.at === 'new') {
      return html`<lb-leaf-head name="Write up a car" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
        <lb-new-job .taken=${jobs.list().map(({ ro }) => ro)} @lb-job-begun=${this.beginJob}></lb-new-job>`;
    }
    const job = jobs.get(place.ro);
    if (!job)
      return html`<lb-leaf-head name="No such sheet" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head><p class="notice">There is no sheet for ${place.ro} on this tablet.</p>`;
    const planned = plan(job, rulebook);
    const { back, on } = turns(place.ro, place.at);
    return html`<lb-leaf-head .ro=${place.ro} .name=${LEAF_NAMES[place.at]} .leaf=${leafNumber(place.at)} .car=${carName(job, planned.facts, rulebook)} .back=${back ?? { text: 'Bay sheet', href: '#/' }} .on=${on}>${this.far(planned, place)}</lb-leaf-head>
      <div class="screen" @lb-job-changed=${this.jobChanged}>${this.open(planned, rulebook, place)}</div>
      ${printed(planned, rulebook, new Date())}`;
  }

  private bay({ rulebook, jobs }: Pick<Started, 'rulebook' | 'jobs'>): TemplateResult {
    const all = jobs.list();
    return html`<lb-leaf-head name="Bay sheet" car=${all.length === 1 ? '1 car in' : `${all.length} cars in`} .on=${{ text: 'Write up a car', href: '#/new' }}></lb-leaf-head>
      <lb-bay-sheet .jobs=${all} .rulebook=${rulebook}></lb-bay-sheet>`;
  }

  private open(planned: Planned, rulebook: Rulebook, { at, step = '' }: OnLeaf): TemplateResult {
    if (at === 'write-up') return html`<lb-write-up .planned=${planned} .rulebook=${rulebook}></lb-write-up>`;
    if (at === 'car') return html`<lb-car-leaf .planned=${planned} .rulebook=${rulebook}></lb-car-leaf>`;
    if (at === 'before')
      return html`<lb-before-leaf .planned=${planned} .rulebook=${rulebook} .step=${step}></lb-before-leaf>`;
    return html`<lb-route-leaf .planned=${planned} .rulebook=${rulebook} .step=${step}></lb-route-leaf>`;
  }

  /** How far the leaf is, at the right of the head. */
  private far(planned: Planned, { at }: OnLeaf): TemplateResult | typeof nothing {
    const { list, job } = planned;
    if (at === 'write-up') return html`${job.work.length} ${job.work.length === 1 ? 'work line' : 'work lines'}`;
    if (at === 'car') {
      const open = openQuestions(planned).filter(({ kind }) => kind !== 'done').length;
      return html`${open === 0 ? 'All answered' : `${open} not answered`}`;
    }
    if (at === 'before') return html`${stepsOf(planned, 'before').length} before the work`;
    return list && list.time.total > 0
      ? html`About <span class="pen">${minutesText(list.time.total)}</span><br />until it can go`
      : nothing;
  }

  private notices({ jobs, keep }: Started): TemplateResult {
    return html`${[...jobs.clashes.values()].map(
      ({ ro, theirs }) => html`<div class="notice" role="alert">
          <p><b>${ro} was changed on another tablet too,</b> at ${new Date(theirs.updated).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' })}. One of the two sheets must go.</p>
          <div class="keys">
            <button class="key" @click=${() => jobs.settle(ro, 'ours')}>Keep the sheet of this tablet</button>
            <button class="key" @click=${() => jobs.settle(ro, 'theirs')}>Take the other sheet</button>
          </div>
        </div>`,
    )}
      ${[...jobs.refusals].map(([ro, why]) => html`<p class="notice" role="alert"><b>The server does not take ${ro}:</b> ${why}</p>`)}
      ${keep.keeps && !jobs.keepFails ? nothing : html`<p class="notice">This browser does not keep the sheets: close the page, and what has not reached the server is lost.</p>`}`;
  }

  private foot({ rulebook, jobs }: Started): TemplateResult {
    const other = theme() === 'dark' ? 'light' : 'dark';
    return html`<footer class="screen">
      <p>Rulebook <span class="pen">${rulebook.version}</span>. ${jobs.allSent ? 'Every sheet is on the server.' : 'Kept on this tablet; the server gets it when it can be reached.'}</p>
      <button class="key" @click=${() => this.wear(other)}>${other === 'dark' ? 'Dark sheet' : 'Light sheet'}</button>
    </footer>`;
  }

  private wear(chosen: 'light' | 'dark'): void {
    chooseTheme(chosen);
    this.requestUpdate();
  }

  private readonly beginJob = ({ ro }: JobBegun): void => {
    const jobs = this.started?.jobs;
    if (!jobs) return;
    // The shop's cars are mostly built for one market: the last car's is taken until somebody says otherwise.
    const market = jobs.list()[0]?.vehicle?.market;
    if (!jobs.get(ro)) jobs.put(newJob(ro, market));
    location.hash = linkTo(ro, 'write-up');
  };

  private readonly jobChanged = ({ job }: JobChanged): void => {
    this.started?.jobs.put(job as JobFile);
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'last-bolt': LastBolt;
  }
}
