import '../plate/plate.ts';
import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { PageFrame } from '../paper/page-frame.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, minutesText } from '../sheet/time.ts';
import type { CardLeg } from './legs.ts';

/** One drive in big type, read out by a passenger from the seat or from paper. */
@customElement('lb-route-card')
export class RouteCard extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      article { padding: 12px 16px 20px; }
      .mind { border: 4px solid var(--ink); border-left-width: 16px; padding: 10px 14px; margin-bottom: 14px; line-height: 1.3; font-size: var(--t-step); }
      .mind p + p { margin-top: 4px; }
      .sum { display: flex; flex-wrap: wrap; gap: 8px 24px; align-items: center; margin-bottom: 8px; font-size: var(--t-step); }
      .sum p { flex: 1 1 300px; }
      ol.legs > li { display: grid; grid-template-columns: 64px minmax(0, 1fr) minmax(160px, auto); gap: 0 18px; padding: 14px 0; border-top: 4px solid var(--ink); break-inside: avoid; }
      .which { width: 56px; height: 56px; border: 3.5px solid var(--ink); font: 800 2rem/49px var(--print); text-align: center; }
      h2 { font-size: 2rem; line-height: 1.12; }
      .keep { font-size: 1.75rem; line-height: 1.24; font-weight: 600; }
      .time { font: 700 2.5rem/1 var(--pen); letter-spacing: -0.04em; text-align: right; }
      .time small { display: block; font: 500 var(--t-body)/1.3 var(--print); letter-spacing: 0; }
      .serves { grid-column: 2 / -1; margin-top: 8px; font-size: var(--t-step); line-height: 1.3; }
      .serves li { display: inline-flex; align-items: center; gap: 8px; margin-right: 18px; }
      .paper { display: none; }
      @media (max-width: 700px) {
        ol.legs > li { grid-template-columns: 48px minmax(0, 1fr); gap: 0 12px; }
        .which { width: 44px; height: 44px; font: 800 1.5rem/37px var(--print); }
        .time { grid-column: 2; text-align: left; margin-top: 4px; }
        .time small { display: inline; margin-left: 8px; }
        h2 { font-size: 1.625rem; }
        .keep { font-size: 1.375rem; }
      }
      @media print {
        article { padding: 0; color: #000; font-size: 13pt; }
        .head { display: grid; grid-template-columns: 1fr auto; align-items: end; border-bottom: 3.5pt solid #000; padding-bottom: 2mm; margin-bottom: 4mm; }
        .head .title { font-size: 24pt; line-height: 1; font-weight: 800; letter-spacing: -0.03em; }
        .head .ro { font: 700 26pt/1 var(--pen); letter-spacing: -0.04em; }
        .mind, .sum, .serves { font-size: 13pt; }
        .mind { padding: 2mm 4mm; margin-bottom: 4mm; }
        h2 { font-size: 24pt; }
        .keep { font-size: 20pt; }
        .time { font-size: 28pt; }
        .time small { font-size: 12pt; }
        ol.legs > li { grid-template-columns: 16mm minmax(0, 1fr) 42mm; padding: 5mm 0; }
        .which { width: 14mm; height: 14mm; font: 800 24pt/12mm var(--print); }
        .serves li { display: flex; }
        .paper { display: grid; }
        .blank { display: flex; gap: 10mm; margin-top: 3mm; grid-column: 2 / -1; font-size: 10pt; }
        .blank span { border-top: 1pt solid #000; padding-top: 0.5mm; flex: 1; margin-top: 9mm; }
      }
    `,
  ];

  @property() ro = '';
  @property() car = '';
  /** Day and time of printing, in words. */
  @property() date = '';
  @property() rules = '';
  @property({ attribute: false }) legs: readonly CardLeg[] = [];
  @property({ type: Number }) minutes = 0;
  @property({ type: Number }) saved = 0;
  /** Steps off the road that must be through before setting out, in words. */
  @property({ attribute: false }) first: readonly string[] = [];
  protected readonly frame = new PageFrame(this, () => [[this.ro, this.date].filter(Boolean).join(' · '), this.rules]);

  override render(): TemplateResult {
    const { legs, minutes, saved, first } = this;
    return html`<article aria-label="Route card">
      <div class="paper head" aria-hidden="true"><div><p class="title">Route card</p>${this.car}</div><div class="ro">${this.ro}</div></div>
      <div class="mind">
        <p><b>The driver never handles the tablet. A passenger reads this out.</b></p>
        <p>Local law and the traffic rule: leave out or break off whatever the road does not allow, and start that leg again elsewhere.</p>
      </div>
      <div class="sum">
        <p><b>${legs.length === 1 ? '1 leg' : `${legs.length} legs, in this order`}.</b> ${minutes > 0 ? `${minutesText(minutes)} at least` : 'No fixed time'}${saved >= 1 ? `; one by one it would be ${minutesText(minutes + saved)}` : ''}.
          ${first.length > 0 ? html`<br /><b>Before setting out:</b> ${first.join('; ')}.` : nothing}</p>
        <button type="button" class="key" @click=${() => window.print()}>Print the card</button>
      </div>
      <ol class="legs">${legs.map((leg, i) => this.leg(leg, i))}</ol>
    </article>`;
  }

  private leg({ card, minutes, serves }: CardLeg, index: number): TemplateResult {
    const [speed = '', ...rest] = card;
    // The minutes stand by themselves, larger.
    const keep = minutes > 0 ? rest.filter((line) => !line.startsWith('for ')) : rest;
    return html`<li>
      <div class="which" aria-hidden="true">${index + 1}</div>
      <div>
        <h2><span class="unseen">Leg ${index + 1}: </span>${capital(speed)}</h2>
        <ul class="keep">${keep.map((line) => html`<li>${capital(line)}</li>`)}</ul>
      </div>
      ${minutes > 0 ? html`<div class="time">${minutesText(minutes)} <small>at least</small></div>` : html`<div></div>`}
      <div class="serves">
        <p class="label">It serves</p>
        <ul>${serves.map(({ number, title, safety }) => html`<li>${safety ? html`<lb-plate flat></lb-plate>` : nothing}<span><span class="pen">${number}</span> ${title}</span></li>`)}</ul>
      </div>
      <div class="paper blank" aria-hidden="true"><span>Done at, km</span><span>Took or did not take</span><span>Driver and passenger</span></div>
    </li>`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-route-card': RouteCard;
  }
}
