import '../../components/change/change-note.ts';
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
import { History } from './history.ts';
import { notices } from './notices.ts';
import { openQuestions, type Planned, stepsOf } from './plan.ts';
import { Replanned } from './planner.ts';
import { printed, routeCard } from './printed.ts';
import { type Leaf, LEAF_NAMES, leafNumber, linkTo, type Place, readPlace, turns } from './routes.ts';
import type { JobRenumbered, JobStruck } from './screens/job-keys.ts';
import type { JobBegun } from './screens/new-job.ts';
import type { JobChanged } from './screens/leaf.ts';
import { type Started, start } from './start.ts';
import { chooseTheme, theme } from './theme.ts';
import { carName } from './vehicle.ts';

type OnLeaf = Extract<Place, { at: Leaf }>;

const OTHER_NAMES = { bay: 'Bay sheet', new: 'Write up a car', drive: 'Route card', parts: 'All parts of the sheet' };

/** The whole page: head, the open leaf, foot. */
@customElement('last-bolt')
export class LastBolt extends LitElement {
  static override styles = [sheet, key, lastBolt];

  @state() private started: Started | undefined;
  @state() private trouble = '';
  @state() private place: Place = readPlace(location.hash);
  @state() private partsPage: ((rulebook: Rulebook) => TemplateResult) | undefined;
  private readonly history = new History();

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
    return html`<main class=${tag} tabindex="-1">${notices(this.started)}${this.leaf(this.started)}</main>${this.foot(this.started)}`;
  }

  override updated(): void {
    const { place } = this;
    const job = 'ro' in place ? `${place.ro}, ` : '';
    const name = { ...LEAF_NAMES, ...OTHER_NAMES }[place.at];
    document.title = `${job}${name} - Last Bolt`;
  }

  private async begin(): Promise<void> {
    try {
      const started = await start();
      started.jobs.addEventListener('change', () => this.requestUpdate());
      started.planner.addEventListener('change', () => this.requestUpdate());
      started.planner.addEventListener(Replanned.type, (event) => {
        const { before, after } = event as Replanned;
        this.history.replanned(before, after);
      });
      this.started = started;
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  private readonly turned = (): void => {
    const before = this.place;
    this.place = readPlace(location.hash);
    const sameLeaf = 'ro' in before && 'ro' in this.place && before.ro === this.place.ro && before.at === this.place.at;
    if (sameLeaf || (before.at === 'bay' && this.place.at === 'bay')) return;
    window.scrollTo(0, 0);
    void this.updateComplete.then(() => this.greet());
  };

  /** A turned leaf is where reading goes on, unless it has put the hand into a field itself. */
  private greet(): void {
    if (this.shadowRoot?.activeElement) return;
    this.renderRoot.querySelector('main')?.focus({ preventScroll: true });
  }

  private leaf({ rulebook, jobs, planner }: Started): TemplateResult {
    const { place } = this;
    if (place.at === 'bay') return this.bay(place);
    if (place.at === 'new') return newJobLeaf(jobs, this.beginJob);
    if (place.at === 'parts') return this.parts(rulebook);
    const job = jobs.get(place.ro);
    if (!job)
      return html`<lb-leaf-head name="No such sheet" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head><p class="notice">There is no sheet for ${place.ro} on this tablet.</p>`;
    const planned = planner.planned(job, true);
    const car = carName(job, planned.facts, rulebook);
    if (place.at === 'drive') {
      const back = { text: LEAF_NAMES.route, href: linkTo(job.ro, 'route') };
      return html`<lb-leaf-head .ro=${place.ro} name="Route card" .car=${car} .back=${back}></lb-leaf-head>${routeCard(planned, rulebook, place.drive)}`;
    }
    const { back, on } = turns(place.ro, place.at);
    return html`<lb-leaf-head .ro=${place.ro} .name=${LEAF_NAMES[place.at]} .leaf=${leafNumber(place.at)} .car=${car} .back=${back ?? { text: 'Bay sheet', href: '#/' }} .on=${on}>${far(planned, place.at)}</lb-leaf-head>
      <div class="screen" @lb-job-changed=${this.jobChanged} @lb-job-struck=${this.strike} @lb-job-renumbered=${this.renumber}>${this.open(planned, rulebook, place)}</div>
      ${printed(planned, rulebook, new Date())}`;
  }

  private bay({ stand = '', tools = [] }: Extract<Place, { at: 'bay' }>): TemplateResult {
    const { rulebook, jobs, planner } = this.started as Started;
    const all = jobs.list();
    return html`<lb-leaf-head name="Bay sheet" car=${all.length === 1 ? '1 car in' : `${all.length} cars in`} .on=${{ text: 'Write up a car', href: '#/new' }}></lb-leaf-head>
      <lb-bay-sheet .jobs=${all.map((job) => planner.planned(job))} .rulebook=${rulebook} .stand=${stand} .tools=${tools}></lb-bay-sheet>`;
  }

  /** Loaded only when asked for: nobody in the workshop needs it. */
  private parts(rulebook: Rulebook): TemplateResult {
    if (!this.partsPage) void import('./screens/parts-page.ts').then(({ partsPage }) => (this.partsPage = partsPage));
    return html`<lb-leaf-head name="All parts of the sheet" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
      ${this.partsPage?.(rulebook) ?? html`<p class="notice" role="status">Being fetched.</p>`}`;
  }

  private open(planned: Planned, rulebook: Rulebook, { at, step = '' }: OnLeaf): TemplateResult {
    if (at === 'write-up')
      return html`<lb-write-up .planned=${planned} .rulebook=${rulebook} .taken=${(this.started?.jobs.list() ?? []).map(({ ro }) => ro)}></lb-write-up>`;
    if (!planned.planned) return html`<p class="notice" role="status">Being planned.</p>`;
    if (at === 'car') return html`<lb-car-leaf .planned=${planned} .rulebook=${rulebook}></lb-car-leaf>`;
    if (at === 'before')
      return html`<lb-before-leaf .planned=${planned} .rulebook=${rulebook} .step=${step}></lb-before-leaf>`;
    return html`<lb-route-leaf .planned=${planned} .rulebook=${rulebook} .step=${step} .whyNot=${this.whyNot}></lb-route-leaf>`;
  }

  private readonly whyNot = (job: JobFile) => (this.started as Started).planner.whyNot(job);

  private foot({ rulebook, jobs }: Started): TemplateResult {
    const other = theme() === 'dark' ? 'light' : 'dark';
    const { note } = this.history;
    const here = note && (note.ro === '' || ('ro' in this.place && this.place.ro === note.ro)) ? note : undefined;
    return html`<lb-change-note class="screen" .sentences=${here?.sentences ?? []} .undo=${here?.undo ?? ''} @lb-undone=${this.undo} @lb-noted=${this.noted}></lb-change-note>
    <footer class="screen">
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
    const jobs = this.started?.jobs;
    const before = jobs?.get(job.ro);
    if (!jobs || !before) return;
    this.history.changing(before, job);
    jobs.put(job);
  };

  private readonly strike = ({ ro }: JobStruck): void => {
    const jobs = this.started?.jobs;
    const job = jobs?.get(ro);
    if (!jobs || !job) return;
    this.history.striking(job);
    jobs.strike(ro);
    location.hash = '#/';
  };

  private readonly renumber = ({ ro, to }: JobRenumbered): void => {
    this.started?.jobs.renumber(ro, to);
    location.replace(linkTo(to, 'write-up'));
  };

  private readonly undo = (): void => {
    const { note } = this.history;
    const back = note && this.history.undo(note);
    if (back) this.started?.jobs.put(back);
    this.requestUpdate();
  };

  private readonly noted = (): void => {
    this.history.note = undefined;
    this.requestUpdate();
  };
}

function newJobLeaf(jobs: Started['jobs'], begin: (event: JobBegun) => void): TemplateResult {
  return html`<lb-leaf-head name="Write up a car" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
    <lb-new-job .taken=${jobs.list().map(({ ro }) => ro)} @lb-job-begun=${begin}></lb-new-job>`;
}

/** How far a leaf is, at the right of the head. */
function far(planned: Planned, at: Leaf): TemplateResult | typeof nothing {
  const { list, job } = planned;
  if (at === 'write-up') return html`${job.work.length} ${job.work.length === 1 ? 'work line' : 'work lines'}`;
  if (!list) return nothing;
  if (at === 'car') {
    const open = openQuestions(planned).filter(({ kind }) => kind !== 'done').length;
    return html`${open === 0 ? 'All answered' : `${open} not answered`}`;
  }
  if (at === 'before') return html`${stepsOf(planned, 'before').length} before the work`;
  return list.time.total > 0
    ? html`About <span class="pen">${minutesText(list.time.total)}</span><br />until it can go`
    : nothing;
}

declare global {
  interface HTMLElementTagNameMap {
    'last-bolt': LastBolt;
  }
}
