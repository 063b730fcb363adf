import { html, svg, type TemplateResult } from 'lit';
import type { CodeRow } from '../../src/job/codes.ts';

/** What became of a code: a line that ends, one that runs on, one that begins. The word always stands beside. */
export const CHANGES: Readonly<Record<CodeRow['change'], string>> = {
  gone: 'gone',
  stays: 'stays',
  new: 'new',
  there: 'there',
  before: 'read',
};

const stroke = (d: string, width: number) =>
  svg`<path d=${d} fill="none" stroke="currentColor" stroke-width=${width} />`;
const begins = svg`${stroke('M36 6l10 10-10 10', 5)}${stroke('M52 16H116', 6)}`;
const LINES: Readonly<Record<CodeRow['change'], TemplateResult<2>>> = {
  gone: svg`${stroke('M4 16H70', 6)}${stroke('M80 6v20M92 6v20', 5)}`,
  stays: stroke('M4 16H116', 6),
  new: begins,
  there: svg`<path d="M52 16H116" fill="none" stroke="currentColor" stroke-width="6" stroke-dasharray="14 8" />`,
  before: svg`${stroke('M4 16H70', 6)}<path d="M76 16H116" fill="none" stroke="currentColor" stroke-width="6" stroke-dasharray="6 8" />`,
};

export function changeLine(change: CodeRow['change']): TemplateResult {
  return html`<svg viewBox="0 0 120 32" aria-hidden="true">${LINES[change]}</svg>`;
}

/** A self-test as a cell: full once it is complete. */
export function testCell(complete: boolean): TemplateResult {
  return html`<svg viewBox="0 0 44 28" aria-hidden="true">
    <rect x="2" y="4" width="40" height="20" fill="none" stroke="currentColor" stroke-width="3"></rect>
    <rect x="6" y="8" width=${complete ? 32 : 9} height="12" fill="currentColor"></rect>
  </svg>`;
}
