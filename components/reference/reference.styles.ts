import { css } from 'lit';

export const reference = css`
  article { padding: 0 16px 20px; max-width: 1040px; overflow-wrap: break-word; }
  .top { display: flex; flex-wrap: wrap; gap: 4px 12px; align-items: center; padding: 14px 0 4px; }
  .top h2 { font-size: var(--t-head); line-height: 1.05; letter-spacing: -0.03em; font-weight: 800; }
  .number { font: 700 var(--t-stop)/1 var(--pen); }
  .facts { font-weight: 650; line-height: 1.3; }
  .aka { line-height: 1.3; color: var(--ink-2); }
  .purpose { font-size: var(--t-step); line-height: 1.3; margin-top: 8px; }
  section { border-top: 3px solid var(--ink); margin-top: 16px; padding-top: 8px; }
  h3 { font-size: var(--t-stop); letter-spacing: -0.02em; margin-bottom: 2px; }
  .entry { display: grid; grid-template-columns: 190px minmax(0, 1fr); gap: 0 16px; padding: 6px 0; border-bottom: 1px solid var(--edge); line-height: 1.3; }
  .entry:last-child { border-bottom: 0; }
  .entry > .label { font-weight: 800; }
  .entry.whole { grid-template-columns: minmax(0, 1fr); }
  .entry.caution { border-left: 10px solid var(--ink); border-bottom: 0; padding: 4px 0 4px 12px; margin: 6px 0; }
  .entry.linked { padding: 0; }
  .entry.linked > .label { padding-top: 12px; }
  .entry.linked > div { padding-bottom: 6px; }
  .under .entry.linked > .label { padding-top: 0; }
  .entry.caution > .label::after { content: '. '; }
  .entry.caution > .label, .entry.caution > div { display: inline; }
  .entry.caution { display: block; }
  .paper { display: none; }
  summary { display: inline-flex; align-items: center; min-height: 48px; color: var(--touch); font-weight: 650; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 4px; cursor: pointer; }
  summary::before { content: '+'; font: 700 1.25rem/1 var(--pen); margin-right: 8px; }
  details[open] > summary::before { content: '-'; }
  .basis { font: 600 var(--t-fine)/1.3 var(--pen); color: var(--ink-2); }
  .links { display: flex; flex-wrap: wrap; gap: 0 18px; }
  .links a { line-height: 1.15; }
  .under { margin-top: 2px; }
  .under .entry { display: block; padding: 3px 0; border: 0; }
  .under .entry > .label::after { content: ':'; }
  .under .entry.caution > .label::after { content: '. '; }
  .under .entry > div { display: inline; }
  .under .under { padding-left: 20px; }
  ol.under { counter-reset: n; padding-left: 0; }
  ol.under > .entry { counter-increment: n; display: grid; grid-template-columns: 30px minmax(0, 1fr); gap: 0; }
  ol.under > .entry::before { content: counter(n); font: 700 var(--t-body)/1.3 var(--pen); }
  .under .entry.caution { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; margin: 4px 0; }
  .source { display: grid; grid-template-columns: 40px minmax(0, 1fr); padding: 5px 0; line-height: 1.3; }
  .source > b { font-family: var(--pen); }
  .source a { display: inline; }
  .keys { margin-top: 16px; }
  @media (max-width: 760px) {
    .entry { grid-template-columns: minmax(0, 1fr); }
  }
  @media print {
    article { max-width: none; padding: 0; }
    /* Room that reaches below a title and takes none: where it does not fit, the title goes over to the next page too. */
    .top { padding: 0 0 31mm; margin-bottom: -30mm; break-inside: avoid; }
    .top h2 { font-size: 16pt; }
    .number { font-size: 13pt; }
    .facts, .aka, .purpose, .entry, .source { font-size: 9pt; line-height: 1.25; }
    .purpose { font-size: 10.5pt; margin-top: 1mm; }
    section { margin-top: 2.4mm; padding: 0; border: 0; }
    h3 { font-size: 11pt; border-top: 1.5pt solid #000; padding: 0.8mm 0 21mm; margin-bottom: -20.6mm; break-inside: avoid; }
    .entry > div, .source > span { orphans: 2; widows: 2; }
    .entry { grid-template-columns: 30mm minmax(0, 1fr); gap: 0 3mm; padding: 0.7mm 0; border-bottom: 0.4pt solid #777; }
    .entry .under .entry { padding: 0.3mm 0; }
    .entry.caution { border-left-width: 2.5mm; padding: 0.5mm 0 0.5mm 2mm; margin: 0.8mm 0; break-inside: avoid; }
    .under .entry.caution { border-left-width: 2mm; }
    .basis { font-size: 8pt; }
    .paper { display: inline; }
    .entry.linked { padding: 0.7mm 0; }
    .entry.linked > .label, .entry.linked > div { padding: 0; }
    .links { display: inline; }
    .links a, .source a { min-height: 0; min-width: 0; display: inline; color: #000; text-decoration: none; font-weight: 700; }
    .links a:not(:last-child)::after { content: '; '; }
    .links a:last-child::after { content: '. '; }
    ol.under > .entry { grid-template-columns: 6mm minmax(0, 1fr); }
    ol.under > .entry::before { font-size: 9pt; }
    .source { grid-template-columns: 7mm minmax(0, 1fr); padding: 0.3mm 0; }
  }
`;
