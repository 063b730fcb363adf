import '../../components/change/change-note.ts';
import '../../components/head/leaf-head.ts';
import './job-page.ts';
import './screens/bay-sheet.ts';
import './screens/new-job.ts';
import './screens/timers.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { key, sheet } from '../../components/sheet/sheet.styles.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { History } from './history.ts';
import { newJob } from './job.ts';
import { lastBolt } from './last-bolt.styles.ts';
import { notices } from './notices.ts';
import { type Open, Opening } from './opening.ts';
import { Replanned } from './planner.ts';
import { LEAF_NAMES, linkTo, type Place, readPlace, RULES } from './routes.ts';
import type { JobRenumbered, JobStruck } from './screens/job-keys.ts';
import { Fetched } from './screens/fetched.ts';
import { LATER } from './screens/later.ts';
import type { JobChanged } from './screens/leaf.ts';
import type { JobBegun } from './screens/new-job.ts';
import { signIn } from './screens/sign-in.ts';
import { sayHere } from './start.ts';
import { chooseTheme, theme } from './theme.ts';

const OTHER_NAMES = {
  bay: 'Bay sheet',
  new: 'Write up a car',
  drive: 'Route card',
  comeback: 'It came back',
  parts: 'All parts of the sheet',
  went: 'Cars that went',
  people: 'People',
  shop: 'The shop',
  learning: 'What jobs say of the rules',
  rules: 'The rulebook',
};
/** What shows that somebody is at the tablet. Above the element, which runs as soon as it is defined. */
const TOUCHES = ['pointerdown', 'keydown'] as const;
const FETCHING = html`<p class="notice" role="status">Being fetched.</p>`;
const BAY = { text: 'Bay sheet', href: '#/' };

/** The whole page: the lock, the open leaf, the timers, the foot. */
@customElement('last-bolt')
export class LastBolt extends LitElement {
  static override styles = [sheet, key, lastBolt];

  @state() private place: Place = readPlace(location.hash);
  @state() private partsPage: ((rulebook: Rulebook) => TemplateResult) | undefined;
  /** Milliseconds since 1970, to the minute. */
  @state() private now = minuteOf(Date.now());
  private readonly opening = new Opening();
  private readonly history = new History();
  private readonly fetched = new Fetched(LATER, () => this.requestUpdate());
  private clock: ReturnType<typeof setInterval> | undefined;
  private heard: Open | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('hashchange', this.turned);
    for (const type of TOUCHES) window.addEventListener(type, this.touched, { capture: true });
    this.clock = setInterval(this.tick, 1000);
    this.opening.addEventListener('change', this.changed);
    void this.opening.begin();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('hashchange', this.turned);
    for (const type of TOUCHES) window.removeEventListener(type, this.touched, { capture: true });
    clearInterval(this.clock);
    this.opening.removeEventListener('change', this.changed);
  }

  override render(): TemplateResult {
    const { trouble, tablet, open } = this.opening;
    if (trouble)
      return html`<main class="sheet"><lb-leaf-head name="Last Bolt cannot open"></lb-leaf-head><p class="notice" role="alert">${trouble}</p></main>`;
    if (!tablet?.door)
      return html`<main class="sheet"><p class="notice" role="status">Opening the rulebook.</p></main>`;
    const lock = tablet.locked ? signIn(tablet, open !== undefined) : nothing;
    if (!open)
      return html`${lock}${tablet.locked ? nothing : html`<main class="sheet"><p class="notice" role="status">Opening the rulebook.</p></main>`}`;
    // What is half written stays under the lock.
    return html`${lock}
      <div class="page" .inert=${tablet.locked} ?hidden=${tablet.locked}>
        <main class=${this.place.at === 'before' ? 'bench' : ''} tabindex="-1">${notices(open.started, tablet)}${this.leaf(open)}</main>
        ${this.foot(open)}
      </div>
      ${this.timers(open)}`;
  }

  override updated(): void {
    const { place } = this;
    const job = 'ro' in place ? `${place.ro}, ` : '';
    const name = { ...LEAF_NAMES, ...OTHER_NAMES }[place.at];
    document.title = `${job}${name} - Last Bolt`;
  }

  private readonly changed = (): void => {
    const { open } = this.opening;
    if (open && this.heard !== open) {
      this.heard = open;
      open.started.planner.addEventListener(Replanned.type, (event) => {
        const { before, after } = event as Replanned;
        this.history.replanned(before, after);
      });
    }
    this.requestUpdate();
  };

  private readonly touched = (): void => this.opening.tablet?.touch();

  private readonly tick = (): void => {
    this.now = minuteOf(Date.now());
    this.opening.tablet?.tick();
  };

  private readonly turned = (): void => {
    const before = this.place;
    this.place = readPlace(location.hash);
    this.sayWhere(before);
    const sameLeaf = 'ro' in before && 'ro' in this.place && before.ro === this.place.ro && before.at === this.place.at;
    if (sameLeaf || (before.at === 'bay' && this.place.at === 'bay')) return;
    window.scrollTo(0, 0);
    void this.updateComplete.then(() => this.greet());
  };

  /** Others see on which step somebody has the hands. */
  private sayWhere(before: Place): void {
    const { place } = this;
    const { tablet } = this.opening;
    const [was, is] = [handsOn(before), handsOn(place)];
    if (!tablet || (was?.ro === is?.ro && was?.step === is?.step)) return;
    if (is) sayHere(is.ro, is.step, tablet);
    else if (was) sayHere(was.ro, '', tablet);
  }

  /** A turned leaf is where reading goes on, unless it has put the hand into a field itself. */
  private greet(): void {
    if (this.shadowRoot?.activeElement) return;
    this.renderRoot.querySelector('main')?.focus({ preventScroll: true });
  }

  private leaf(open: Open): TemplateResult {
    const { place } = this;
    const { started, sheets, tablet } = open;
    if (place.at === 'bay') return this.bay(place);
    if (place.at === 'new')
      return html`<lb-leaf-head name="Write up a car" .back=${BAY}></lb-leaf-head>
        <lb-new-job .taken=${sheets.numbers()} @lb-job-begun=${this.beginJob}></lb-new-job>`;
    if (place.at === 'parts') return this.parts(started.rulebook);
    if (place.at === 'rules') return this.fetched.get('rules')?.rulesLeaf(open, place) ?? FETCHING;
    if (!('ro' in place)) return this.aside(place.at);
    const planned = sheets.sheet(place.ro);
    if (planned === 'asked')
      return html`<lb-leaf-head .ro=${place.ro} name="Being fetched" .back=${BAY}></lb-leaf-head><p class="notice" role="status">The server is being asked for ${place.ro}.</p>`;
    if (!planned)
      return html`<lb-leaf-head .ro=${place.ro} name="No such sheet" .back=${BAY}></lb-leaf-head><p class="notice">There is no sheet for ${place.ro} on this tablet${tablet.offline ? ', and the server cannot be asked' : ''}.</p>`;
    return html`<lb-job-page .page=${open} .place=${place} .planned=${planned} .now=${this.now} .person=${tablet.session?.person} .server=${!tablet.offline} @lb-job-changed=${this.jobChanged} @lb-job-struck=${this.strike} @lb-job-renumbered=${this.renumber}></lb-job-page>`;
  }

  private bay({ stand = '', tools = [] }: Extract<Place, { at: 'bay' }>): TemplateResult {
    const { started, sheets, tablet } = this.opening.open as Open;
    const all = sheets.list();
    const cars = all.length === 1 ? '1 car in' : `${all.length} cars in`;
    return html`<lb-leaf-head name="Bay sheet" .car=${[tablet.door?.shop, cars].filter(Boolean).join(', ')} .on=${{ text: 'Write up a car', href: '#/new' }}></lb-leaf-head>
      <lb-bay-sheet .jobs=${all} .rulebook=${started.rulebook} .stand=${stand} .tools=${tools} .shop=${tablet.door?.shop ?? ''} .now=${this.now} .here=${(ro: string) => started.records.at(ro)}></lb-bay-sheet>`;
  }

  /** Loaded only when asked for: nobody in the workshop needs it. */
  private parts(rulebook: Rulebook): TemplateResult {
    if (!this.partsPage) void import('./screens/parts-page.ts').then(({ partsPage }) => (this.partsPage = partsPage));
    return html`<lb-leaf-head name="All parts of the sheet" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
      ${this.partsPage?.(rulebook) ?? FETCHING}`;
  }

  private aside(at: 'went' | 'people' | 'shop' | 'learning'): TemplateResult {
    const on = at === 'shop' ? { text: OTHER_NAMES.rules, href: RULES } : undefined;
    return html`<lb-leaf-head .name=${OTHER_NAMES[at]} .back=${BAY} .on=${on}></lb-leaf-head>
      ${at === 'went' ? (this.fetched.has('went') ? html`<lb-went-list></lb-went-list>` : FETCHING) : at === 'learning' ? this.learning() : this.settings(at)}`;
  }

  private learning(): TemplateResult {
    const { started, tablet } = this.opening.open as Open;
    if (!this.fetched.has('learning')) return html`<p class="notice" role="status">Being fetched.</p>`;
    return html`<lb-learning-leaf .shop=${tablet.door?.shop ?? ''} .rules=${started.rulebook.version}></lb-learning-leaf>`;
  }

  private settings(of: 'people' | 'shop'): TemplateResult {
    const { started, tablet } = this.opening.open as Open;
    if (!this.fetched.has('people')) return FETCHING;
    return html`<lb-people-leaf .of=${of} .tablet=${tablet} .rulebook=${started.rulebook} .seen=${tablet.door}></lb-people-leaf>`;
  }

  private timers({ started, sheets, tablet }: Open): TemplateResult | typeof nothing {
    if (this.place.at === 'parts') return nothing;
    const sights = sheets.list().flatMap(({ sight, record }) => (sight && record ? [sight] : []));
    return html`<lb-timers .sights=${sights} .rulebook=${started.rulebook} .locked=${tablet.locked}></lb-timers>`;
  }

  private foot({ started, tablet }: Open): TemplateResult {
    const { rulebook, jobs, records, offline } = started;
    const other = theme() === 'dark' ? 'light' : 'dark';
    const { note } = this.history;
    const here = note && (note.ro === '' || ('ro' in this.place && this.place.ro === note.ro)) ? note : undefined;
    const sent = jobs.allSent && records.allSent;
    const person = tablet.session?.person;
    return html`<lb-change-note class="screen" .sentences=${here?.sentences ?? []} .undo=${here?.undo ?? ''} @lb-undone=${this.undo} @lb-noted=${this.noted}></lb-change-note>
    <footer class="screen">
      <p>${person ? html`Signed in: <span class="pen">${person.name}</span>. ` : nothing}Rulebook <span class="pen">${rulebook.version}</span>. ${sent ? 'Every sheet is on the server.' : 'Kept on this tablet; the server gets it when it can be reached.'} ${offline.lacks}</p>
      <button class="key" @click=${() => void tablet.signOut()}>Somebody else</button>
      <a class="key" href="#/went">Cars that went</a>
      <a class="key" href=${RULES}>The rulebook</a>
      ${person?.roles.includes('foreman') ? html`<a class="key" href="#/people">People</a><a class="key" href="#/shop">The shop</a>` : nothing}
      ${person?.roles.some((role) => role === 'foreman' || role === 'keeper') ? html`<a class="key" href="#/learning">${OTHER_NAMES.learning}</a>` : nothing}
      <button class="key" @click=${() => this.wear(other)}>${other === 'dark' ? 'Dark sheet' : 'Light sheet'}</button>
    </footer>`;
  }

  private wear(chosen: 'light' | 'dark'): void {
    chooseTheme(chosen);
    this.requestUpdate();
  }

  private readonly beginJob = ({ ro }: JobBegun): void => {
    const { started, sheets, tablet } = this.opening.open as Open;
    // The shop's cars are mostly built for one market: the last car's is taken until somebody says otherwise.
    const market = sheets.list()[0]?.job.vehicle?.market;
    if (!sheets.numbers().includes(ro)) started.jobs.put(newJob(ro, market, tablet.tools));
    location.hash = linkTo(ro, 'write-up');
  };

  private readonly jobChanged = ({ job }: JobChanged): void => {
    const { sheets } = this.opening.open as Open;
    const before = sheets.sheet(job.ro);
    if (before && before !== 'asked') this.history.changing(before.job, sheets.change(job));
  };

  private readonly strike = ({ ro }: JobStruck): void => {
    const { jobs } = (this.opening.open as Open).started;
    const job = jobs.get(ro);
    if (!job) return;
    this.history.striking(job);
    jobs.strike(ro);
    this.goTo({ at: 'bay' }, '#/');
  };

  private readonly renumber = ({ ro, to }: JobRenumbered): void => {
    (this.opening.open as Open).started.jobs.renumber(ro, to);
    this.goTo({ at: 'write-up', ro: to }, linkTo(to, 'write-up'));
  };

  /** At once: the place that one comes from is no more. */
  private goTo(place: Place, address: string): void {
    this.place = place;
    location.replace(address);
  }

  private readonly undo = (): void => {
    const { note } = this.history;
    const back = note && this.history.undo(note);
    if (back) (this.opening.open as Open).sheets.change(back);
    this.requestUpdate();
  };

  private readonly noted = (): void => {
    this.history.note = undefined;
    this.requestUpdate();
  };
}

function handsOn(place: Place): { ro: string; step: string } | undefined {
  return 'step' in place && place.step ? { ro: place.ro, step: place.step } : undefined;
}

function minuteOf(ms: number): number {
  return Math.floor(ms / 60_000) * 60_000;
}

declare global {
  interface HTMLElementTagNameMap {
    'last-bolt': LastBolt;
  }
}
