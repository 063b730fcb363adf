import '../../components/head/leaf-head.ts';
import './screens/before-leaf.ts';
import './screens/ended-keys.ts';
import './screens/route-leaf.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { GoTo } from '../../components/gate/go-to.ts';
import { momentText } from '../../components/papers/moment.ts';
import type { PhotoTaken } from '../../components/photo/photo.ts';
import type { Said } from '../../components/record/said.ts';
import { key, sheet } from '../../components/sheet/sheet.styles.ts';
import { minutesText } from '../../components/sheet/time.ts';
import type { Person } from '../job/people.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { lastBolt } from './last-bolt.styles.ts';
import type { Open } from './opening.ts';
import { openQuestions, type Planned, stepsOf } from './plan.ts';
import { type Leaf, LEAF_NAMES, leafNumber, linkTo, linkToComeback, linkToRules, type Place, turns } from './routes.ts';
import type { CameBack } from './screens/ended-keys.ts';
import { Fetched } from './screens/fetched.ts';
import { LATER } from './screens/later.ts';
import { standingOf } from './standing.ts';
import { carName } from './vehicle.ts';

type JobPlace = Extract<Place, { readonly ro: string }>;
type OnLeaf = Extract<Place, { readonly at: Leaf }>;

/** Leaves that go on paper as they are; from any other the route sheet is printed. */
const PRINTED: ReadonlySet<Leaf> = new Set<Leaf>(['codes', 'check', 'hand-over']);

/**
 * One job: the head of its open leaf, the leaf, and the sheet as it goes on paper. What somebody says here goes on record.
 * @fires lb-job-changed
 * @fires lb-job-struck
 * @fires lb-job-renumbered
 */
@customElement('lb-job-page')
export class JobPage extends LitElement {
  static override styles = [sheet, key, lastBolt];

  @property({ attribute: false }) page!: Open;
  @property({ attribute: false }) place!: JobPlace;
  @property({ attribute: false }) planned!: Planned;
  /** Whoever is signed in. */
  @property({ attribute: false }) person: Person | undefined;
  /** Milliseconds since 1970, to the minute. */
  @property({ type: Number }) now = 0;
  /** The server can be reached. */
  @property({ type: Boolean }) server = false;
  private readonly fetched = new Fetched(LATER, () => this.requestUpdate());
  /** What the server would not take just now. */
  @state() private refused: { readonly ro: string; readonly says: readonly string[] } | undefined;

  private get heard(): readonly EventTarget[] {
    const { records, planner } = this.page.started;
    return [records, planner];
  }

  // It shows more than its own job: the one that a car came back from comes when it has been fetched and planned.
  override connectedCallback(): void {
    super.connectedCallback();
    for (const part of this.heard) part.addEventListener('change', this.changed);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    for (const part of this.heard) part.removeEventListener('change', this.changed);
  }

  private readonly changed = (): void => this.requestUpdate();

  override render(): TemplateResult {
    const { place, planned, refused } = this;
    const { rulebook } = this.page.started;
    const { job } = planned;
    const car = carName(job, planned.facts, rulebook);
    const paper = this.fetched.get('printed');
    if (place.at === 'drive') {
      const back = { text: LEAF_NAMES.route, href: linkTo(job.ro, 'route') };
      return html`<lb-leaf-head .ro=${place.ro} name="Route card" .car=${car} .back=${back}></lb-leaf-head>${paper?.routeCard(planned, this.pinned, place.drive) ?? FETCHING}`;
    }
    if (place.at === 'comeback') {
      const back = { text: LEAF_NAMES['write-up'], href: linkTo(job.ro, 'write-up') };
      return html`<lb-leaf-head .ro=${place.ro} name="It came back" .car=${car} .back=${back}></lb-leaf-head>
        ${this.paperHead('It came back')}<div @lb-said=${this.said}>${this.comeback()}</div>`;
    }
    const { back = { text: 'Bay sheet', href: '#/' }, on } = turns(place.ro, place.at);
    return html`<lb-leaf-head .ro=${place.ro} .name=${LEAF_NAMES[place.at]} .leaf=${leafNumber(place.at)} .car=${car} .back=${back} .on=${on}>${far(planned, place.at)}</lb-leaf-head>
      ${refused && refused.ro === job.ro ? html`<div class="notice screen" role="alert"><p><b>Not taken.</b> ${refused.says.join(' ')}</p><div class="keys"><button class="key" @click=${() => (this.refused = undefined)}>I have read it</button></div></div>` : nothing}
      ${this.stands()}
      ${place.at === 'write-up' || place.at === 'route' ? html`${this.olderRules()} ${this.newerRules()}` : nothing}
      ${place.at === 'codes' || place.at === 'check' ? this.paperHead(LEAF_NAMES[place.at]) : nothing}
      <div class=${PRINTED.has(place.at) ? '' : 'screen'} @lb-said=${this.said} @lb-photo-taken=${this.photoTaken}>${this.leaf(place)}</div>
      ${PRINTED.has(place.at) ? nothing : paper?.printed(planned, this.pinned, Date.now())}`;
  }

  /** What a job that is not open any more says on each of its leaves. */
  private stands(): TemplateResult | typeof nothing {
    const { sight } = this.planned;
    const was = sight?.job.status === 'open' ? sight.job.cameBack : undefined;
    if (was)
      return html`<p class="notice screen"><b>It came back</b> from <a href=${linkTo(was.ro, 'hand-over')}>${was.ro}</a>: ${was.complaint} <a class="alone" href=${linkToComeback(sight?.job.ro ?? '')}>What brought it back?</a></p>`;
    const ending = sight?.job.status === 'open' ? undefined : sight?.job.ending;
    if (!ending) return nothing;
    const how = ending.type === 'released' ? 'Released' : 'Left unfinished';
    return html`<div class="notice screen">
      <p><b>${how}</b> <span class="pen">${momentText(ending.at)}</span> by ${ending.by}. Nothing more is written on it unless the foreman opens it again.</p>
      <lb-ended-keys .ro=${sight?.job.ro ?? ''} .foreman=${this.isForeman} .taken=${this.page.sheets.numbers()} @lb-said=${this.said} @lb-came-back=${this.cameBack}></lb-ended-keys>
    </div>`;
  }

  /** The rules in force are others than those of the job. */
  private newerRules(): TemplateResult | typeof nothing {
    const { sight, record } = this.planned;
    const { started } = this.page;
    const now = sight && started.rulebookOf(sight.job.rulebook);
    if (!record || !now || sight.job.status !== 'open' || now.version === started.rulebook.version) return nothing;
    if (!this.fetched.has('rules-changed')) return nothing;
    return html`<lb-rules-changed .job=${sight.job} .now=${now} .then=${started.rulebook} .foreman=${this.isForeman} .server=${this.server} @lb-said=${this.said}></lb-rules-changed>`;
  }

  /** Rules are never swapped under an open job. */
  private olderRules(): TemplateResult | typeof nothing {
    const { record, sight } = this.planned;
    const { version } = this.page.started.rulebook;
    const own = record?.rulebook;
    if (!own || own === version || sight?.job.status !== 'open') return nothing;
    return html`<p class="notice screen">This job goes on under <a href=${linkToRules(sight.job.ro)}>the rules it was opened with</a>, version <span class="pen">${own}</span>. New jobs are opened under <span class="pen">${version}</span>.</p>`;
  }

  private leaf({ at, step = '' }: OnLeaf): TemplateResult {
    const { planned } = this;
    const { started, tablet, sheets } = this.page;
    const { rulebook } = started;
    const { pinned } = this;
    if (at === 'write-up' && !this.fetched.has(at)) return FETCHING;
    if (at === 'write-up')
      return html`<lb-write-up .planned=${planned} .rulebook=${rulebook} .taken=${sheets.numbers()}></lb-write-up>`;
    if (!planned.planned) return html`<p class="notice" role="status">Being planned.</p>`;
    const { server, person } = this;
    const foreman = this.isForeman;
    if (at === 'car' && !this.fetched.has('car')) return FETCHING;
    if (at === 'car') return html`<lb-car-leaf .planned=${planned} .rulebook=${pinned}></lb-car-leaf>`;
    if (at === 'before')
      return html`<lb-before-leaf .planned=${planned} .rulebook=${pinned} .step=${step} .person=${person?.name ?? ''} .server=${server} .foreman=${foreman}></lb-before-leaf>`;
    if (at === 'route')
      return html`<lb-route-leaf .planned=${planned} .rulebook=${pinned} .step=${step} .person=${person?.name ?? ''} .server=${server} .foreman=${foreman} .whyNot=${this.whyNot}></lb-route-leaf>`;
    const { sight } = planned;
    if (!sight) return html`<p class="notice">This sheet cannot be planned: look at its write-up.</p>`;
    if (!this.fetched.has(at)) return FETCHING;
    if (at === 'check')
      return html`<lb-final-check .sight=${sight} .person=${person} .alone=${tablet.alone} .server=${server} @lb-go-to=${this.goTo}></lb-final-check>`;
    if (at === 'codes')
      return html`<lb-codes .sight=${sight} .rulebook=${pinned} .person=${person} .now=${this.now} .stepHref=${(one: string) => linkTo(sight.job.ro, 'route', one)}></lb-codes>`;
    const car = carName(planned.job, planned.facts, rulebook);
    const hash = planned.record?.hash ?? '';
    const shop = tablet.door?.shop ?? '';
    return this.fetched.get('hand-over')?.handOverLeaf({ sight, rulebook: pinned, car, hash, shop }) ?? FETCHING;
  }

  /** The hand-over has a head of its own. */
  private paperHead(name: string): TemplateResult | typeof nothing {
    const { job, facts, record, sight } = this.planned;
    const { started, tablet } = this.page;
    if (!this.fetched.has('paper')) return nothing;
    return html`<lb-paper-head .name=${name} .ro=${job.ro} .car=${carName(job, facts, started.rulebook)} .vin=${job.vehicle?.vin ?? ''} .shop=${tablet.door?.shop ?? ''} .hash=${record?.hash ?? ''} .rules=${sight?.job.rulebook ?? ''}></lb-paper-head>`;
  }

  /** What brought the car back, by the record of the job before. */
  private comeback(): TemplateResult {
    const { started, sheets } = this.page;
    const { sight, record } = this.planned;
    const to = sight?.job.cameBack;
    if (!sight || !to) return html`<p class="notice">This car did not come back from another job.</p>`;
    const old = sheets.sheet(to.ro);
    const rulebook = started.rulebookOf(to.rulebook);
    const leaf = this.fetched.get('comeback');
    if (!old)
      return html`<p class="notice">The record of ${to.ro} cannot be had${this.server ? '' : ' without a signal'}.</p>`;
    if (old === 'asked' || !old.sight || !rulebook || !leaf) return FETCHING;
    const here = (record?.events[0] ?? record?.queue[0])?.at ?? '';
    return leaf.comebackLeaf({ job: sight.job, here, old: old.sight, rulebook, person: this.person });
  }

  private readonly whyNot = (job: JobFile) => {
    const { planner, records } = this.page.started;
    return planner.whyNot(job, records.get(job.ro)?.state.rulebook);
  };

  /** The rules that the job keeps. */
  private get pinned(): Rulebook {
    const { started } = this.page;
    const { sight } = this.planned;
    return (sight && started.rulebookOf(sight.job.rulebook)) ?? started.rulebook;
  }

  private get isForeman(): boolean {
    return this.person?.roles.includes('foreman') ?? false;
  }

  private readonly said = async ({ sayings }: Said): Promise<void> => {
    const { ro } = this.place;
    const says = await this.page.sheets.say(ro, sayings);
    this.refused = says.length > 0 ? { ro, says } : undefined;
  };

  private readonly cameBack = ({ ro, old, complaint }: CameBack): void => {
    const { started } = this.page;
    const was = this.planned;
    started.records.comeBack(ro, { ro: old, rulebook: was.record?.rulebook ?? '' }, complaint);
    // The same car: what was known of it is told again, the work of then is not.
    started.records.rewrite(ro, { ro, ...(was.job.vehicle ? { vehicle: was.job.vehicle } : {}), work: [] });
    location.hash = linkTo(ro, 'write-up');
  };

  private readonly goTo = (event: GoTo): void => {
    if (event.defaultPrevented) return;
    const { ro } = this.place;
    const before = this.planned.list?.steps.find(({ id }) => id === event.step)?.phase === 'before';
    location.hash = linkTo(ro, event.leaf === 'route' && before ? 'before' : event.leaf, event.step);
  };

  private readonly photoTaken = ({ blob, hash }: PhotoTaken): void => {
    const { place } = this;
    const { sheets, started } = this.page;
    const step = 'step' in place && place.step ? { step: place.step } : {};
    started.records.keepPhoto(hash, blob);
    void sheets.say(place.ro, [{ type: 'photo-attached', hash, ...step }]);
  };
}

const FETCHING = html`<p class="notice" role="status">Being fetched.</p>`;

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
  return untilItGoes(planned);
}

function untilItGoes(planned: Planned): TemplateResult | typeof nothing {
  if (planned.sight?.job.status === 'released') return html`Released`;
  if (planned.sight?.job.status === 'left-unfinished') return html`Not finished`;
  const { kind, minutes } = standingOf(planned, [], 0);
  if (kind === 'ready') return html`Nothing holds it`;
  if (kind === 'check') return html`Waits for<br />the foreman`;
  return minutes > 0 ? html`About <span class="pen">${minutesText(minutes)}</span><br />until it can go` : nothing;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-job-page': JobPage;
  }
}
