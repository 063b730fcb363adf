import { html, svg, type TemplateResult } from 'lit';
import type { Bears } from '../../src/job/comeback/comeback.ts';

/** A filled disc fits, a cross speaks against, a dash says nothing. */
const DRAWN: Readonly<Record<Bears, TemplateResult<2>>> = {
  fits: svg`<circle cx="16" cy="16" r="10" fill="currentColor" />`,
  against: svg`<path d="M7 7l18 18M25 7L7 25" stroke="currentColor" stroke-width="5" />`,
  nothing: svg`<path d="M8 16h16" stroke="currentColor" stroke-width="3.4" />`,
};
const WORDS: Readonly<Record<Bears, string>> = { fits: 'fits', against: 'speaks against it', nothing: 'says nothing' };

export function bearsMark(bears: Bears): TemplateResult {
  return html`<svg viewBox="0 0 32 32" role="img" aria-label=${WORDS[bears]}>${DRAWN[bears]}</svg>`;
}
