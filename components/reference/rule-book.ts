import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { Chapter, Contents, Indexed } from '../../src/rulebook/page/contents.ts';
import type { Page } from '../../src/rulebook/page/page.ts';
import { PageFrame } from '../paper/page-frame.ts';
import { sheet } from '../sheet/sheet.styles.ts';
import { type Href, rulePage } from './page.ts';
import { reference } from './reference.styles.ts';
import { OUTLINE } from './rule-page.ts';

/** The contents of the rulebook; with `pages`, the whole of it as it goes on paper. */
@customElement('lb-rule-book')
export class RuleBook extends LitElement {
  static override styles = [
    sheet,
    reference,
    css`
      :host { background: var(--paper); }
      .chapters { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(360px, 100%), 1fr)); gap: 0 28px; padding: 0 16px 20px; align-items: start; }
      .chapters > section { border: 0; margin: 0; padding: 0; }
      .chapters h2, .part > h2 { padding-top: 16px; border-bottom: 3px solid var(--ink); display: flex; gap: 12px; }
      h2 > .pen { min-width: 1.6em; }
      .row { display: grid; grid-template-columns: 62px minmax(0, 1fr) auto; align-items: center; gap: 0 8px; border-bottom: 1px solid var(--edge); line-height: 1.2; }
      .row a { min-height: 56px; }
      .index { columns: 360px; column-gap: 28px; padding: 8px 16px 20px; }
      .index li { break-inside: avoid; line-height: 1.25; padding: 4px 0; }
      .title { display: none; }
      @media print {
        .title { display: block; font: 800 22pt/1.1 var(--print); letter-spacing: -0.03em; border-bottom: 3pt solid #000; padding-bottom: 2mm; }
        .title small { display: block; font: 500 10pt/1.3 var(--print); letter-spacing: 0; margin-top: 1mm; }
        .chapters { display: block; columns: 2; column-gap: 8mm; padding: 0; }
        .chapters h2 { font-size: 11pt; padding-top: 2.6mm; break-after: avoid; border-bottom-width: 1.5pt; }
        .row { font-size: 9pt; grid-template-columns: 11mm minmax(0, 1fr) auto; padding: 0.5mm 0; break-inside: avoid; border-bottom: 0.4pt solid #777; }
        .row a { min-height: 0; color: #000; text-decoration: none; font-weight: 500; display: inline; }
        .part > h2 { font-size: 18pt; border-bottom: 3pt solid #000; padding: 0 0 1mm; }
        .part article + article { border-top: 3pt solid #000; margin-top: 6mm; padding-top: 2mm; }
        .index { columns: 3; column-gap: 6mm; padding: 1mm 0; font-size: 8.5pt; }
        .index li { padding: 0.3mm 0; }
      }
    `,
  ];

  @property({ attribute: false }) contents!: Contents;
  /** By id of the follow-up; none: only the contents. */
  @property({ attribute: false }) pages: ReadonlyMap<string, Page> | undefined;
  @property({ attribute: false }) href!: Href;
  protected readonly frame = new PageFrame(
    this,
    () => [OUTLINE, this.contents.version],
    () => [
      { name: '', words: 'The rulebook: contents' },
      ...(this.pages ? this.contents.systems : []).map(({ number, title }) => ({
        name: `chapter-${number}`,
        words: `The rulebook: ${number} ${title}`,
      })),
      { name: 'index', words: 'The rulebook: index' },
    ],
  );

  override render(): TemplateResult {
    const { contents, pages } = this;
    const count = contents.systems.reduce((sum, system) => sum + system.pages.length, 0);
    return html`<p class="title">The rulebook<small>Version ${contents.version}, ${count} follow-ups</small></p>
      <div class="chapters">${contents.systems.map((system) => this.chapter(system))}</div>
      ${pages ? contents.systems.map((system) => this.bound(system, pages)) : nothing}
      ${pages ? html`<div class="part" data-page="index"><h2>Index by part</h2>${this.index(contents.byPart)}<h2>Index by code</h2>${this.index(contents.byCode)}</div>` : nothing}`;
  }

  /** Set by hand: a style attribute in the template is what the server's content policy forbids. */
  override updated(): void {
    for (const part of this.renderRoot.querySelectorAll<HTMLElement>('.part'))
      part.style.setProperty('page', part.dataset['page'] ?? '');
  }

  private chapter({ number, title, pages }: Chapter): TemplateResult {
    return html`<section><h2><span class="pen">${number}</span>${title}</h2>
      <ul>${pages.map(({ number: own, followUp }) => html`<li class="row"><span class="pen">${own}</span><a class="alone" href=${this.href({ of: 'follow-up', id: followUp.id })}>${followUp.title}</a>${followUp.safety ? html`<lb-plate flat></lb-plate>` : nothing}</li>`)}</ul></section>`;
  }

  private bound({ number, title, pages: own }: Chapter, pages: ReadonlyMap<string, Page>): TemplateResult {
    return html`<div class="part" data-page="chapter-${number}"><h2><span class="pen">${number}</span>${title}</h2>
      ${own.map((one) => {
        const page = pages.get(one.followUp.id);
        return page ? rulePage(page, one.number, this.href) : nothing;
      })}</div>`;
  }

  private index(rows: readonly Indexed[]): TemplateResult {
    return html`<ul class="index">${rows.map(({ title, pages }) => html`<li><b>${title}</b> <span class="pen">${pages.map(({ number }) => number).join(', ')}</span></li>`)}</ul>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-rule-book': RuleBook;
  }
}
