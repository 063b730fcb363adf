import { css, html, LitElement, svg, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';

export const STAGES = [
  'open',
  'running',
  'took',
  'did-not-take',
  'stuck',
  'sent-out',
  'waiting',
  'not-done',
  'covered',
] as const;
export type Stage = (typeof STAGES)[number];

const WORDS: Readonly<Record<Stage, string>> = {
  open: 'Open',
  running: 'Running',
  took: 'Took',
  'did-not-take': 'Did not take',
  stuck: 'Stuck',
  'sent-out': 'Sent out',
  waiting: 'Waiting',
  'not-done': 'Not done',
  covered: 'Done within another',
};

/** The word that stands beside a mark. */
export function stageWord(stage: Stage): string {
  return WORDS[stage];
}

/**
 * A bolt head with its line of paint: unbroken out to the housing once a step took, broken if it did not.
 * The ring is the flange of a safety item. `plain` = beside its own words, so a screen reader passes over it.
 */
@customElement('lb-bolt')
export class Bolt extends LitElement {
  static override styles = css`
    :host { display: inline-block; width: 48px; height: 48px; color: inherit; }
    svg { display: block; width: 100%; height: 100%; }
  `;

  @property() stage: Stage = 'open';
  @property({ type: Boolean }) safety = false;
  @property({ type: Boolean }) plain = false;

  override render(): TemplateResult {
    const name = `${WORDS[this.stage]}${this.safety ? ', safety item' : ''}`;
    const box = this.safety ? '0 0 48 48' : '2.5 2.5 43 43';
    const ground = svg`<circle cx="24" cy="24" r=${this.safety ? 21 : 14.5} fill="var(--ground, var(--paper))" />`;
    const drawing = svg`${ground}${HEADS[this.stage]}${this.safety ? RINGS[this.stage] : ''}`;
    return this.plain
      ? html`<svg viewBox=${box} aria-hidden="true">${drawing}</svg>`
      : html`<svg viewBox=${box} role="img" aria-label=${name}>${drawing}</svg>`;
  }
}

const SIX = '37,24 30.5,35.26 17.5,35.26 11,24 17.5,12.74 30.5,12.74';
const head = svg`<polygon points=${SIX} fill="none" stroke="currentColor" stroke-width="3.4" stroke-linejoin="round" />`;
const full = svg`<polygon points=${SIX} fill="currentColor" stroke="currentColor" stroke-width="3.4" stroke-linejoin="round" />`;
const dashed = svg`<polygon points=${SIX} fill="none" stroke="currentColor" stroke-width="3.4" stroke-dasharray="4.6 2.9" />`;
const line = (d: string, width: number) => svg`<path d=${d} fill="none" stroke="currentColor" stroke-width=${width} />`;
const painted = svg`<path d="M16 28.6L34.6 17.9" stroke="var(--ground, var(--paper))" stroke-width="4.4" />`;

const HEADS: Readonly<Record<Stage, TemplateResult<2>>> = {
  open: head,
  running: svg`${head}<polygon points="24,12.74 24,35.26 17.5,35.26 11,24 17.5,12.74" fill="currentColor" />${line('M34.5 8.2A19 19 0 0 1 42.6 20', 3.4)}${line('M44.9 14.6l-1.6 8.6-6.6-5', 3)}`,
  took: svg`${full}${painted}${line('M35.2 17.5L46 11.3', 4.6)}`,
  'did-not-take': svg`${head}${line('M15.6 19.2L32.4 28.8', 4.4)}${line('M37.6 16.2L46 11.3', 4.6)}`,
  stuck: svg`${head}${line('M18.6 18.6L29.4 29.4M29.4 18.6L18.6 29.4', 4.4)}`,
  'sent-out': svg`${line('M33.6 17.9L30.5 12.74H17.5L11 24l6.5 11.26h13l3.1-5.2', 3.4)}${line('M20 24h23M36.5 17.2L44 24l-7.5 6.8', 3.6)}`,
  waiting: svg`${dashed}${line('M24 16.6V24l5.6 4.2', 3.4)}`,
  'not-done': svg`${head}${line('M2.5 24H45.5', 4.6)}`,
  covered: svg`${head}<polygon points="24,18.4 28.9,21.2 28.9,26.8 24,29.6 19.1,26.8 19.1,21.2" fill="currentColor" />`,
};

// The ring opens where a paint line or an arrow crosses it.
const ring = svg`<circle cx="24" cy="24" r="19" fill="none" stroke="currentColor" stroke-width="2.8" />`;
const crossed = line('M42.6 19.8A19 19 0 1 1 36.6 9.8', 2.8);
const RINGS: Readonly<Record<Stage, TemplateResult<2>>> = {
  open: ring,
  running: line('M42.9 25.6A19 19 0 1 1 29 5.7', 2.8),
  took: crossed,
  'did-not-take': crossed,
  stuck: ring,
  'sent-out': line('M40 34A19 19 0 1 1 40 14', 2.8),
  waiting: ring,
  'not-done': ring,
  covered: ring,
};

declare global {
  interface HTMLElementTagNameMap {
    'lb-bolt': Bolt;
  }
}
