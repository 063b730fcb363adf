import '../bolt/bolt.ts';
import '../head/brand-mark.ts';
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { handOver, type HandOver, type Row } from '../../src/job/hand-over.ts';
import type { Section } from '../../src/job/hand-over-lines.ts';
import type { Sight } from '../../src/job/sight.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import { stageWord } from '../bolt/bolt.ts';
import { PageFrame } from '../paper/page-frame.ts';
import { clock } from '../sheet/clock.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital } from '../sheet/time.ts';
import { momentText } from './moment.ts';
import { papers } from './papers.styles.ts';
import { endOf } from './paper-head.ts';
import { squareCode } from './square-code.ts';

/**
 * The customer's page, on screen as it is printed. A car that was not released says NOT FINISHED, large, and what the
 * customer was told of it.
 */
@customElement('lb-hand-over')
export class HandOverPage extends LitElement {
  static override styles = [sheet, key, papers];

  @property({ attribute: false }) sight!: Sight;
  @property({ attribute: false }) rulebook!: Rulebook;
  @property() shop = '';
  /** Name of the car. */
  @property() car = '';
  /** Of the record; its last twelve characters are printed. */
  @property() hash = '';
  /** Sentences about the car's own tests that have not run yet. */
  @property({ attribute: false }) selfTests: readonly string[] = [];
  protected readonly frame = new PageFrame(this, () => [
    [this.sight.job.ro, this.sight.job.vehicle.vin, this.shop].filter(Boolean).join(' · '),
    this.sight.job.rulebook,
  ]);

  override render(): TemplateResult {
    const page = handOver(this.sight, this.rulebook, this.selfTests);
    return html`<div class="around">
      <div class="tools screen">
        <p>${SAYS[page.status]}</p>
        <button type="button" class="key main ${page.status === 'open' ? '' : 'full'}" @click=${() => window.print()}>Print it</button>
      </div>
      <article aria-label=${`${TITLES[page.status]} ${page.ro}`}>
        ${this.head(page)} ${page.status === 'released' ? nothing : band(page)}
        <section><h3>What we did</h3><p>${page.work.join(' ')}</p></section>
        ${steps(page)}
        <div class="two">${page.sections.filter((one) => !isLong(one)).map(section)}</div>
        ${page.sections.filter(isLong).map(section)}
        ${page.independent ? nothing : html`<p><b>Not independently checked:</b> whoever did the work checked it too.</p>`}
        <div class="foot">${signatures(page)} ${this.chain(page)}</div>
      </article>
    </div>`;
  }

  private head({ ro, status, vin, ended, mileage }: HandOver): TemplateResult {
    const at = ended ? ` ${momentText(ended.at)}` : '';
    return html`<header>
        <lb-brand-mark></lb-brand-mark>
        <div><h2 class="title">${TITLES[status]}</h2>${this.shop}</div>
        <div class="right"><p class="ro">${ro}</p>${STANDS[status]}${at}</div>
      </header>
      <div class="car">
        <p><b>${this.car}</b><br /><span class="pen">${vin || 'VIN not written'}</span></p>
        <p>Mileage in ${written(mileage.in)}<br />Mileage out ${written(mileage.out)}</p>
      </div>`;
  }

  private chain({ rules }: HandOver): TemplateResult {
    const end = endOf(this.hash);
    return html`<div class="chain">
      <span>${end ? html`Record ends <span class="end">${end}</span>` : 'Not on the server yet'}</span>
      <span>Rules <span class="pen">${rules}</span>, printed ${momentText(Date.now())}</span>
    </div>`;
  }
}

const TITLES: Readonly<Record<HandOver['status'], string>> = {
  open: 'Not released',
  released: 'Hand-over',
  'left-unfinished': 'Left unfinished',
};
const STANDS: Readonly<Record<HandOver['status'], string>> = {
  open: 'NOT FINISHED, still here',
  released: 'FINISHED, released',
  'left-unfinished': 'NOT FINISHED, left',
};
const SAYS: Readonly<Record<HandOver['status'], string>> = {
  open: 'The car is not released. This is how its page stands now; it hands nothing over.',
  released: 'One page for the customer. Both sign it; the customer keeps it.',
  'left-unfinished': 'It says NOT FINISHED. Foreman and customer sign it; both keep one.',
};

function written(figure: string | undefined): TemplateResult {
  return figure ? html`<span class="pen">${figure}</span>` : html`<span class="blank">&nbsp;</span>`;
}

function band({ status, warnings }: HandOver): TemplateResult {
  const lines = warnings.map((text) => capital(text.replace(/^NOT FINISHED: /, '')));
  return html`<section class="band">
    <h3>NOT FINISHED</h3>
    ${
      lines.length > 0
        ? html`<ul>${lines.map((text) => html`<li>${text}</li>`)}</ul>`
        : html`<p>${status === 'open' ? 'The foreman has not released it.' : 'No safety item is open. What else is open stands below.'}</p>`
    }
  </section>`;
}

function steps({ rows, people, ended }: HandOver): TemplateResult | typeof nothing {
  if (rows.length === 0) return nothing;
  // The day itself stands only beside what was done on another one.
  const day = Date.parse(ended?.at ?? rows.findLast(({ at }) => at)?.at ?? '') || undefined;
  const short = new Map(people.map(({ name, initials }) => [name, initials]));
  return html`<h3 id="told">What the car had to be told afterwards</h3>
    <table aria-labelledby="told">
      <thead><tr><th><span class="unseen">Mark</span></th><th>Step</th><th>Found or set</th><th class="short">Done by</th><th class="short">Checked by</th><th class="short">When</th></tr></thead>
      <tbody>${rows.map((one) => row(one, short, day))}</tbody>
    </table>
    ${people.length > 0 ? html`<p class="people">${people.map(({ name, initials }, i) => html`${i > 0 ? ', ' : ''}${initials === name ? nothing : html`<span class="pen">${initials}</span> `}${name}`)}.</p>` : nothing}`;
}

function row(one: Row, short: ReadonlyMap<string, string>, day: number | undefined): TemplateResult {
  const { stage, owner, found, doneBy, checkedBy, unchecked, at, safety } = one;
  const drawn = owner && stage === 'open' ? 'waiting' : stage;
  const says = stage === 'took' || owner ? found : [stageWord(stage), ...found];
  const none = stage === 'took' && !safety ? 'none due' : '';
  return html`<tr>
    <td class="mark"><lb-bolt .stage=${drawn} .safety=${safety}></lb-bolt></td>
    <td class="name">${one.title} ${safety ? html`<span class="sw">SAFETY</span>` : nothing}</td>
    <td class="pen found">${says.join('; ')}</td>
    <td class="pen done">${short.get(doneBy) ?? doneBy}</td>
    <td class="pen checked">${checkedBy ? (short.get(checkedBy) ?? checkedBy) : unchecked ? 'not checked' : none}</td>
    <td class="pen when">${at ? clock(at, day) : nothing}</td>
  </tr>`;
}

/** A run of names is shorter across the whole page. */
function isLong({ id }: Section): boolean {
  return id === 'not-determined';
}

function section({ title, lines }: Section): TemplateResult {
  return html`<section><h3>${title}</h3><ul class="lines">
    ${lines.map(({ lead, text, safety }) => html`<li>${lead ? html`<b>${lead}.</b> ` : nothing}${safety ? html`<span class="sw">SAFETY</span> ` : nothing}${text}</li>`)}
  </ul></section>`;
}

function signatures({ ro, status, ended, doneBy, checkedBy }: HandOver): TemplateResult {
  // Nobody signs for a car that is still here.
  if (status === 'open') return html`<div class="sign"><div></div><div></div>${squareCode(ro)}</div>`;
  const lines =
    status === 'left-unfinished'
      ? [
          ['Lets it go unfinished.', ended?.by ?? '', 'foreman'],
          ['Has read what is open, and takes it so.', ended?.customer ?? '', 'customer'],
        ]
      : [
          ['Work done.', doneBy.join(', '), ''],
          ['Checked and released.', ended?.by ?? checkedBy.join(', '), 'foreman'],
        ];
  return html`<div class="sign">
    ${lines.map(([what, name, as]) => html`<div><div class="rule"></div><b>${what}</b><br />${[name, as].filter(Boolean).join(', ')}</div>`)}
    ${squareCode(ro)}
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-hand-over': HandOverPage;
  }
}
