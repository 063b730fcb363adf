import { svg, type TemplateResult } from 'lit';

/** A drawing of how to tell: a few lines of ink on 200 by 132. */
export interface Drawing {
  /** What is to be seen, for a screen reader. */
  readonly words: string;
  readonly lines: TemplateResult<2>;
}

/** Points at a place, from above if not turned (degrees). */
export const arrow = (x: number, y: number, turn: number) =>
  svg`<g transform="translate(${x} ${y}) rotate(${turn})"><path d="M0 0L-9 -17h18z" fill="currentColor" stroke="none" /><path d="M0 -17V-30" stroke-width="5" /></g>`;

export const word = (x: number, y: number, text: string) =>
  svg`<text x=${x} y=${y} font-family="var(--print)" font-weight="700" font-size="16" fill="currentColor" stroke="none" text-anchor="middle">${text}</text>`;

/** A hand-held tool whose screen lists functions; the marked line is the one looked for. */
export const tool = (text: string) =>
  svg`<path d="M34 10h132c6 0 10 4 10 10v88c0 6-4 10-10 10H34c-6 0-10-4-10-10V20c0-6 4-10 10-10z" stroke-width="3" /><path d="M38 24h124v66H38z" /><path d="M48 38h70M48 78h82" /><path d="M44 48h112v20H44z" stroke-width="4" />${word(100, 64, text)}<circle cx="80" cy="104" r="6" /><circle cx="120" cy="104" r="6" />`;
