import '../../../components/head/leaf-head.ts';
import '../../../components/part-search/part-search.ts';
import '../../../components/reference/rule-book.ts';
import '../../../components/reference/rule-page.ts';
import { css, html, LitElement, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Hit, Sought, Taken } from '../../../components/part-search/part-search.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import { type Contents, contentsOf } from '../../rulebook/page/contents.ts';
import { followUpPage } from '../../rulebook/page/follow-up.ts';
import type { Page } from '../../rulebook/page/page.ts';
import { partPage } from '../../rulebook/page/part.ts';
import { sourcePage } from '../../rulebook/page/source.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { Open } from '../opening.ts';
import { LEAF_NAMES, linkTo, linkToRules, type RulesPlace } from '../routes.ts';
import { type Find, finder } from './reference-search.ts';

const FETCHING = html`<p class="notice" role="status">Being fetched.</p>`;

/** A job shows the rules that it was planned by, whatever is in force by now. */
export function rulesLeaf({ started, sheets }: Open, place: RulesPlace): TemplateResult {
  const { job } = place;
  const sheet = job === undefined ? undefined : sheets.sheet(job);
  const version = sheet && sheet !== 'asked' ? sheet.record?.rulebook : undefined;
  const book = version ? started.rulebookOf(version) : started.rulebook;
  const whose = version
    ? `version ${version}, by which this job is planned`
    : `version ${started.rulebook.version}, in force`;
  const back =
    job === undefined ? { text: 'Bay sheet', href: '#/' } : { text: LEAF_NAMES.route, href: linkTo(job, 'route') };
  const on = place.of === 'contents' ? undefined : { text: 'Contents', href: linkToRules(job) };
  return html`<lb-leaf-head .ro=${job ?? ''} name="The rulebook" .car=${whose} .back=${back} .on=${on}></lb-leaf-head>
    ${sheet === 'asked' || !book ? FETCHING : html`<lb-rules .book=${book} .place=${place}></lb-rules>`}`;
}

/** The rulebook to read: its contents with a search, one page of it, or all of it for paper. */
@customElement('lb-rules')
export class RulesLeaf extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      .ask { padding: 12px 16px 4px; display: flex; flex-wrap: wrap; gap: 12px; align-items: end; }
      lb-part-search { flex: 1 1 420px; max-width: 760px; }
      .ask > .key { align-self: start; }
      @media (min-width: 761px) { .ask > lb-part-search + .key { margin-top: 27px; } }
      .read:focus { outline: none; box-shadow: none; }
      .none { padding: 16px; font-size: var(--t-step); }
    `,
  ];

  @property({ attribute: false }) book!: Rulebook;
  @property({ attribute: false }) place!: RulesPlace;
  @state() private words = '';
  @state() private hits: readonly Hit[] = [];
  private contents!: Contents;
  private find: Find | undefined;

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('book')) {
      this.contents = contentsOf(this.book);
      this.find = undefined;
    }
    if (changed.has('place')) this.seek('');
  }

  /** A turned page is where reading goes on, not the field or the link that led to it. */
  override updated(changed: PropertyValues<this>): void {
    if (changed.get('place')) this.renderRoot.querySelector<HTMLElement>('.read')?.focus({ preventScroll: true });
  }

  override render(): TemplateResult {
    const { of } = this.place;
    return html`${of === 'whole' ? nothing : this.ask()} <div class="read" tabindex="-1">${of === 'contents' || of === 'whole' ? this.bound(of === 'whole') : this.opened()}</div>`;
  }

  private ask(): TemplateResult {
    const { of, job } = this.place;
    return html`<div class="ask screen">
      <lb-part-search label="What does the rulebook say of" placeholder="a step, a part, a code, or what the customer says" .words=${this.words} .hits=${this.hits} nothing="Nothing in the rulebook by these words." @lb-sought=${(event: Sought) => this.seek(event.words)} @lb-taken=${this.taken}></lb-part-search>
      ${of === 'contents' ? html`<a class="key" href=${linkToRules(job, 'whole')}>The whole book, for paper</a>` : html`<button class="key" @click=${() => window.print()}>Print this page</button>`}
    </div>`;
  }

  private bound(whole: boolean): TemplateResult {
    const pages = whole
      ? new Map([...this.book.followUps.values()].map((one) => [one.id, followUpPage(one, this.book)]))
      : undefined;
    return html`${whole ? html`<div class="ask screen"><button class="key" @click=${() => window.print()}>Print the whole book</button></div>` : nothing}
      <lb-rule-book .contents=${this.contents} .pages=${pages} .href=${this.href}></lb-rule-book>`;
  }

  private opened(): TemplateResult {
    const page = this.page();
    if (!page) return html`<p class="none">This rulebook has no ${this.place.of} by the name of ${this.place.id}.</p>`;
    const number = this.contents.systems
      .flatMap(({ pages }) => pages)
      .find(({ followUp }) => page.of === 'follow-up' && followUp.id === page.id)?.number;
    return html`<lb-rule-page .page=${page} .number=${number ?? ''} .rules=${this.book.version} .href=${this.href}></lb-rule-page>`;
  }

  private page(): Page | undefined {
    const { book, place } = this;
    const [followUp, part] = [book.followUps.get(place.id), book.parts.get(place.id)];
    if (place.of === 'follow-up') return followUp && followUpPage(followUp, book);
    if (place.of === 'part') return part && partPage(part, book);
    return book.sources.has(place.id) ? sourcePage(place.id, book) : undefined;
  }

  private readonly href = ({ of, id }: Pick<RulesPlace, 'id'> & { readonly of: Page['of'] }): string =>
    linkToRules(this.place.job, of, id);

  private seek(words: string): void {
    this.words = words;
    this.hits = words.trim() ? (this.find ??= finder(this.book))(words) : [];
  }

  private readonly taken = ({ id }: Taken): void => {
    const [of = '', name = ''] = id.split(' ');
    location.hash = linkToRules(this.place.job, of as Page['of'], name);
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-rules': RulesLeaf;
  }
}
