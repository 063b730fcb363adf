import '../plate/plate.ts';
import { html, nothing, type TemplateResult } from 'lit';
import type { Entry, Link, Page, Source } from '../../src/rulebook/page/page.ts';

const MOST_SHOWN = 6;

/** Where a link of a page leads. */
export type Href = (link: Pick<Link, 'of' | 'id'>) => string;

/** One page of the rulebook: what it is, what is said of it, and what that rests on. */
export function rulePage(page: Page, number: string, href: Href): TemplateResult {
  const facts = [page.kind, page.system.replaceAll('-', ' ')].filter(Boolean).join('; ');
  return html`<article aria-label=${page.title}>
    <div class="top">
      ${number ? html`<span class="number">${number}</span>` : nothing}
      <h2>${page.title}</h2>
      ${page.safety ? html`<lb-plate flat></lb-plate>` : nothing}
    </div>
    <p class="facts">${facts.charAt(0).toUpperCase()}${facts.slice(1)}</p>
    ${page.aka.length > 0 ? html`<p class="aka">Also: ${page.aka.join(', ')}</p>` : nothing}
    ${page.purpose ? html`<p class="purpose">${page.purpose}</p>` : nothing}
    ${page.sections.map(({ heading, entries }) => html`<section><h3>${heading}</h3><ul>${entries.map((one) => entry(one, href))}</ul></section>`)}
    ${page.sources.length > 0 ? html`<section><h3>Sources</h3><ul>${page.sources.map((one) => source(one, href))}</ul></section>` : nothing}
  </article>`;
}

function entry(one: Entry, href: Href): TemplateResult {
  const { label, text, links = [], basis = [], under = [], ordered } = one;
  const inner = under.map((each) => entry(each, href));
  const kind = label === 'Caution' ? 'caution whole' : label ? (links.length > 0 ? 'linked' : '') : 'whole';
  return html`<li class="entry ${kind}">
    ${label ? html`<b class="label">${label}</b>` : nothing}
    <div>
      ${linked(links, href)}
      ${text} ${basis.length > 0 ? html`<span class="basis">[${basis.join('; ')}]</span>` : nothing}
      ${inner.length === 0 ? nothing : ordered ? html`<ol class="under">${inner}</ol>` : html`<ul class="under">${inner}</ul>`}
    </div>
  </li>`;
}

/** Many of them are folded away on the screen; on paper nothing is. */
function linked(links: readonly Link[], href: Href): TemplateResult | typeof nothing {
  if (links.length === 0) return nothing;
  const all = html`<span class="links">${links.map((link) => html`<a class="alone" href=${href(link)}>${link.title}</a>`)}</span>`;
  if (links.length <= MOST_SHOWN) return all;
  const names = links.map(({ title }) => title).join('; ');
  return html`<details class="screen"><summary>${links.length} of them</summary>${all}</details><b class="paper">${names}. </b>`;
}

function source({ number, id, title, where, basis, note }: Source, href: Href): TemplateResult {
  const whole = [title, where].filter(Boolean).join(', ');
  return html`<li class="source"><b>${number}</b><span><a href=${href({ of: 'source', id })}>${whole}</a> (${basis})${note ? html`. ${note}` : nothing}</span></li>`;
}
