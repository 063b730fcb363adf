import '../../components/change/change-note.ts';
import '../../components/head/leaf-head.ts';
import './screens/bay-sheet.ts';
import './screens/before-leaf.ts';
import './screens/car-leaf.ts';
import './screens/new-job.ts';
import './screens/route-leaf.ts';
import './screens/went-list.ts';
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
import { dayAndTime, printed, routeCard } from './printed.ts';
import { type Leaf, LEAF_NAMES, leafNumber, linkTo, type Place, readPlace, turns } from './routes.ts';
import type { CameBack } from './screens/ended-keys.ts';
import './screens/ended-keys.ts';
import type { JobRenumbered, JobStruck } from './screens/job-keys.ts';
import type { JobBegun } from './screens/new-job.ts';
import type { JobChanged } from './screens/leaf.ts';
import type { Said } from '../../components/record/said.ts';
import { Keep } from './keep.ts';
import { signIn } from './screens/sign-in.ts';
import type { PhotoTaken } from '../../components/photo/photo.ts';
import { AtTablet } from './session.ts';
import { Sheets } from './sheets.ts';
import { sayHere, type Started, start } from './start.ts';
import { chooseTheme, theme } from './theme.ts';
import { carName } from './vehicle.ts';

type OnLeaf = Extract<Place, { at: Leaf }>;

const OTHER_NAMES = {
  bay: 'Bay sheet',
  new: 'Write up a car',
  drive: 'Route card',
  parts: 'All parts of the sheet',
  went: 'Cars that went',
  people: 'People',
  shop: 'The shop',
};

/** The whole page: head, the open leaf, foot. */
@customElement('last-bolt')
export class LastBolt extends LitElement {
  static override styles = [sheet, key, lastBolt];

  @state() private started: Started | undefined;
  @state() private trouble = '';
  @state() private place: Place = readPlace(location.hash);
  @state() private partsPage: ((rulebook: Rulebook) => TemplateResult) | undefined;
  private tablet: AtTablet | undefined;
  private sheets: Sheets | undefined;
  private readonly history = new History();
  /** What the server would not take just now, of the job on the sheet. */
  @state() private refused: { readonly ro: string; readonly says: readonly string[] } | undefined;
  /** Milliseconds since 1970, to the minute. */
  @state() private now = minuteOf(Date.now());
  private clock: ReturnType<typeof setInterval> | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('hashchange', this.turned);
    for (const type of ['pointerdown', 'keydown'] as const)
      window.addEventListener(type, this.touched, { capture: true });
    this.clock = setInterval(this.tick, 1000);
    void this.begin();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('hashchange', this.turned);
    for (const type of ['pointerdown', 'keydown'] as const)
      window.removeEventListener(type, this.touched, { capture: true });
    clearInterval(this.clock);
  }

  override render(): TemplateResult {
    const { tablet, started } = this;
    if (this.trouble)
      return html`<main class="sheet"><lb-leaf-head name="Last Bolt cannot open"></lb-leaf-head><p class="notice" role="alert">${this.trouble}</p></main>`;
    if (!tablet?.door)
      return html`<main class="sheet"><p class="notice" role="status">Opening the rulebook.</p></main>`;
    // What is half written stays under the lock.
    const page = started
      ? html`<div class="page" ?inert=${tablet.locked} ?hidden=${tablet.locked}>
          <main class=${this.place.at === 'before' ? 'bench' : ''} tabindex="-1">${notices(started, tablet)}${this.leaf(started)}</main>
          ${this.foot(started)}
        </div>`
      : nothing;
    return html`${tablet.locked ? signIn(tablet, started !== undefined) : nothing}${page}${this.timers()}`;
  }

  override updated(): void {
    const { place } = this;
    const job = 'ro' in place ? `${place.ro}, ` : '';
    const name = { ...LEAF_NAMES, ...OTHER_NAMES }[place.at];
    document.title = `${job}${name} - Last Bolt`;
  }

  private async begin(): Promise<void> {
    try {
      const keep = await Keep.open();
      this.tablet = await AtTablet.open(keep, () => Date.now());
      this.tablet.addEventListener('change', () => void this.entered(keep));
      await this.entered(keep);
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  /** Somebody signed in, or the lock fell. */
  private async entered(keep: Keep): Promise<void> {
    const { tablet } = this;
    this.requestUpdate();
    if (!tablet?.door && !this.started)
      this.trouble = 'The server cannot be reached, and nobody has signed in on this tablet before. Is it running?';
    if (!tablet || tablet.locked) return;
    if (this.started) return this.goOn(this.started);
    this.starting ??= this.openBook(keep, tablet);
    await this.starting;
  }

  private starting: Promise<void> | undefined;

  /** Under the hand of whoever has just signed in. */
  private goOn({ jobs, records, listen }: Started): void {
    listen();
    void Promise.all([jobs.sync(), records.sync()]);
  }

  private async openBook(keep: Keep, tablet: AtTablet): Promise<void> {
    try {
      const started = await start(keep, tablet);
      for (const part of [started.jobs, started.records, started.planner, started.offline])
        part.addEventListener('change', () => this.requestUpdate());
      started.planner.addEventListener(Replanned.type, (event) => {
        const { before, after } = event as Replanned;
        this.history.replanned(before, after);
      });
      this.sheets = new Sheets(started);
      this.started = started;
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  private readonly touched = (): void => this.tablet?.touch();

  private readonly tick = (): void => {
    this.now = minuteOf(Date.now());
    this.tablet?.tick();
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
    const { place, tablet } = this;
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

  private leaf(started: Started): TemplateResult {
    const { place } = this;
    const { rulebook } = started;
    const sheets = this.sheets as Sheets;
    if (place.at === 'bay') return this.bay(place);
    if (place.at === 'new') return newJobLeaf(sheets.numbers(), this.beginJob);
    if (place.at === 'parts') return this.parts(rulebook);
    if (place.at === 'went' || place.at === 'people' || place.at === 'shop') return this.aside(place.at);
    const planned = sheets.sheet(place.ro);
    const bay = { text: 'Bay sheet', href: '#/' };
    if (planned === 'asked')
      return html`<lb-leaf-head .ro=${place.ro} name="Being fetched" .back=${bay}></lb-leaf-head><p class="notice" role="status">The server is being asked for ${place.ro}.</p>`;
    if (!planned)
      return html`<lb-leaf-head name="No such sheet" .back=${bay}></lb-leaf-head><p class="notice">There is no sheet for ${place.ro} on this tablet${this.tablet?.offline ? ', and the server cannot be asked' : ''}.</p>`;
    const { job } = planned;
    const car = carName(job, planned.facts, rulebook);
    if (place.at === 'drive') {
      const back = { text: LEAF_NAMES.route, href: linkTo(job.ro, 'route') };
      return html`<lb-leaf-head .ro=${place.ro} name="Route card" .car=${car} .back=${back}></lb-leaf-head>${routeCard(planned, rulebook, place.drive)}`;
    }
    const { back, on } = turns(place.ro, place.at);
    const { refused } = this;
    return html`<lb-leaf-head .ro=${place.ro} .name=${LEAF_NAMES[place.at]} .leaf=${leafNumber(place.at)} .car=${car} .back=${back ?? bay} .on=${on}>${far(planned, place.at)}</lb-leaf-head>
      ${refused && refused.ro === job.ro ? html`<div class="notice screen" role="alert"><p><b>Not taken.</b> ${refused.says.join(' ')}</p><div class="keys"><button class="key" @click=${() => (this.refused = undefined)}>I have read it</button></div></div>` : nothing}
      ${this.stands(planned)}
      <div class="screen" @lb-job-changed=${this.jobChanged} @lb-job-struck=${this.strike} @lb-job-renumbered=${this.renumber} @lb-said=${this.said} @lb-photo-taken=${this.photoTaken}>${this.open(planned, rulebook, place)}</div>
      ${place.at === 'hand-over' ? nothing : printed(planned, rulebook, new Date())}`;
  }

  /** What a job that is not open any more says on each of its leaves. */
  private stands({ sight }: Planned): TemplateResult | typeof nothing {
    const ending = sight?.job.status === 'open' ? undefined : sight?.job.ending;
    if (!ending) return nothing;
    const how = ending.type === 'released' ? 'Released' : 'Left unfinished';
    const foreman = this.tablet?.session?.person.roles.includes('foreman') ?? false;
    return html`<div class="notice screen">
      <p><b>${how}</b> <span class="pen">${dayAndTime(new Date(ending.at))}</span> by ${ending.by}. Nothing more is written on it unless the foreman opens it again.</p>
      <lb-ended-keys .ro=${sight?.job.ro ?? ''} .foreman=${foreman} .taken=${this.sheets?.numbers() ?? []} @lb-said=${this.said} @lb-came-back=${this.cameBack}></lb-ended-keys>
    </div>`;
  }

  private bay({ stand = '', tools = [] }: Extract<Place, { at: 'bay' }>): TemplateResult {
    const { rulebook, records } = this.started as Started;
    const all = (this.sheets as Sheets).list();
    return html`<lb-leaf-head name="Bay sheet" car=${[this.tablet?.door?.shop, all.length === 1 ? '1 car in' : `${all.length} cars in`].filter(Boolean).join(', ')} .on=${{ text: 'Write up a car', href: '#/new' }}></lb-leaf-head>
      <lb-bay-sheet .jobs=${all} .rulebook=${rulebook} .stand=${stand} .tools=${tools} .now=${this.now} .here=${(ro: string) => records.at(ro)}></lb-bay-sheet>`;
  }

  /** Loaded only when asked for: nobody in the workshop needs it. */
  private parts(rulebook: Rulebook): TemplateResult {
    if (!this.partsPage) void import('./screens/parts-page.ts').then(({ partsPage }) => (this.partsPage = partsPage));
    return html`<lb-leaf-head name="All parts of the sheet" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
      ${this.partsPage?.(rulebook) ?? html`<p class="notice" role="status">Being fetched.</p>`}`;
  }

  private open(planned: Planned, rulebook: Rulebook, { at, step = '' }: OnLeaf): TemplateResult {
    if (at === 'write-up')
      return html`<lb-write-up .planned=${planned} .rulebook=${rulebook} .taken=${(this.sheets as Sheets).numbers()}></lb-write-up>`;
    if (!planned.planned) return html`<p class="notice" role="status">Being planned.</p>`;
    const server = !this.tablet?.offline;
    const foreman = this.tablet?.session?.person.roles.includes('foreman') ?? false;
    if (at === 'car') return html`<lb-car-leaf .planned=${planned} .rulebook=${rulebook}></lb-car-leaf>`;
    if (at === 'before')
      return html`<lb-before-leaf .planned=${planned} .rulebook=${rulebook} .step=${step} .server=${server} .foreman=${foreman}></lb-before-leaf>`;
    if (at === 'route')
      return html`<lb-route-leaf .planned=${planned} .rulebook=${rulebook} .step=${step} .server=${server} .foreman=${foreman} .whyNot=${this.whyNot}></lb-route-leaf>`;
    return html``;
  }

  private readonly whyNot = (job: JobFile) => {
    const { planner, records } = this.started as Started;
    return planner.whyNot(job, records.get(job.ro)?.state.rulebook);
  };

  private aside(at: 'went' | 'people' | 'shop'): TemplateResult {
    return html`<lb-leaf-head .name=${OTHER_NAMES[at]} .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
      ${at === 'went' ? html`<lb-went-list></lb-went-list>` : nothing}`;
  }

  private timers(): TemplateResult | typeof nothing {
    return nothing;
  }

  private foot({ rulebook, jobs, records }: Started): TemplateResult {
    const other = theme() === 'dark' ? 'light' : 'dark';
    const { note } = this.history;
    const here = note && (note.ro === '' || ('ro' in this.place && this.place.ro === note.ro)) ? note : undefined;
    const sent = jobs.allSent && records.allSent;
    const person = this.tablet?.session?.person;
    return html`<lb-change-note class="screen" .sentences=${here?.sentences ?? []} .undo=${here?.undo ?? ''} @lb-undone=${this.undo} @lb-noted=${this.noted}></lb-change-note>
    <footer class="screen">
      <p>${person ? html`Signed in: <span class="pen">${person.name}</span>. ` : nothing}Rulebook <span class="pen">${rulebook.version}</span>. ${sent ? 'Every sheet is on the server.' : 'Kept on this tablet; the server gets it when it can be reached.'}</p>
      <button class="key" @click=${() => void this.tablet?.signOut()}>Somebody else</button>
      <a class="key" href="#/went">Cars that went</a>
      ${person?.roles.includes('foreman') ? html`<a class="key" href="#/people">People</a><a class="key" href="#/shop">The shop</a>` : nothing}
      <button class="key" @click=${() => this.wear(other)}>${other === 'dark' ? 'Dark sheet' : 'Light sheet'}</button>
    </footer>`;
  }

  private wear(chosen: 'light' | 'dark'): void {
    chooseTheme(chosen);
    this.requestUpdate();
  }

  private readonly beginJob = ({ ro }: JobBegun): void => {
    const { sheets, started } = this;
    const jobs = started?.jobs;
    if (!jobs || !sheets) return;
    // The shop's cars are mostly built for one market: the last car's is taken until somebody says otherwise.
    const market = sheets.list()[0]?.job.vehicle?.market;
    if (!sheets.numbers().includes(ro)) jobs.put(newJob(ro, market));
    location.hash = linkTo(ro, 'write-up');
  };

  private readonly jobChanged = ({ job }: JobChanged): void => {
    const { sheets } = this;
    const before = sheets?.sheet(job.ro);
    if (!sheets || !before || before === 'asked') return;
    this.history.changing(before.job, sheets.change(job));
  };

  private readonly said = async ({ sayings }: Said): Promise<void> => {
    const { place, sheets } = this;
    if (!sheets || !('ro' in place)) return;
    const says = await sheets.say(place.ro, sayings);
    this.refused = says.length > 0 ? { ro: place.ro, says } : undefined;
  };

  private readonly cameBack = ({ ro, old, complaint }: CameBack): void => {
    const { sheets, started } = this;
    const was = sheets?.sheet(old);
    if (!started || !was || was === 'asked') return;
    started.records.comeBack(ro, { ro: old, rulebook: was.record?.rulebook ?? '' }, complaint);
    // The same car: what was known of it is told again, the work of then is not.
    started.records.rewrite(ro, { ro, ...(was.job.vehicle ? { vehicle: was.job.vehicle } : {}), work: [] });
    location.hash = linkTo(ro, 'write-up');
  };

  private readonly photoTaken = ({ blob, hash }: PhotoTaken): void => {
    const { place, sheets, started } = this;
    if (!sheets || !started || !('ro' in place)) return;
    const step = 'step' in place && place.step ? { step: place.step } : {};
    started.records.keepPhoto(hash, blob);
    void sheets.say(place.ro, [{ type: 'photo-attached', hash, ...step }]);
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
    if (back) this.sheets?.change(back);
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

function newJobLeaf(taken: readonly string[], begin: (event: JobBegun) => void): TemplateResult {
  return html`<lb-leaf-head name="Write up a car" .back=${{ text: 'Bay sheet', href: '#/' }}></lb-leaf-head>
    <lb-new-job .taken=${taken} @lb-job-begun=${begin}></lb-new-job>`;
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
