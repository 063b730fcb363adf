import { css } from 'lit';

export const papers = css`
  .around { background: var(--bench); padding: 16px; }
  .tools { display: flex; flex-wrap: wrap; gap: 12px; align-items: center; max-width: 860px; margin: 0 auto 16px; line-height: 1.3; }
  .tools p { flex: 1 1 280px; }
  article {
    --paper: #fff; --ink: #000; --ink-2: #222;
    background: #fff; color: #000; max-width: 860px; margin: 0 auto; padding: 24px 28px; border: 2px solid var(--edge);
    font-size: 1rem; line-height: 1.3; overflow-wrap: break-word;
  }
  header { display: grid; grid-template-columns: auto minmax(0, 1fr) auto; gap: 14px; align-items: end; border-bottom: 4px solid #000; padding-bottom: 8px; }
  lb-brand-mark { width: 54px; height: 54px; }
  h2.title { font-size: 2.125rem; line-height: 1; font-weight: 800; letter-spacing: -0.035em; }
  .right { text-align: right; font-weight: 700; }
  .ro { font: 700 2.25rem/1 var(--pen); letter-spacing: -0.04em; }
  .car { display: grid; grid-template-columns: minmax(0, 1.4fr) minmax(0, 1fr); gap: 2px 18px; padding: 7px 0 8px; border-bottom: 2px solid #000; }
  .car .blank { display: inline-block; min-width: 7em; border-bottom: 1px solid #000; }
  .band { background: #000; color: #fff; padding: 8px 14px 10px; margin-top: 10px; }
  .band h3 { font-size: 2rem; line-height: 1.1; letter-spacing: -0.01em; margin: 0; }
  .band li { font-weight: 650; margin-top: 4px; }
  h3 { font-size: 1.25rem; font-weight: 800; letter-spacing: -0.015em; line-height: 1.1; margin: 14px 0 4px; }
  table { width: 100%; border-collapse: collapse; }
  th { text-align: left; font-weight: 750; border-bottom: 2.5px solid #000; padding: 2px 8px 2px 0; line-height: 1.1; vertical-align: bottom; }
  td { border-bottom: 1px solid #000; padding: 2px 8px 2px 0; line-height: 1.2; height: 34px; vertical-align: middle; }
  td.mark { width: 38px; }
  lb-bolt { width: 31px; height: 31px; display: block; }
  td.name { font-weight: 700; width: 41%; }
  th.short, td.when { white-space: nowrap; }
  .sw { background: #000; color: #fff; font: 800 0.8125rem/18px var(--print); padding: 0 9px 0 5px; display: inline-block; clip-path: polygon(0 0, calc(100% - 6px) 0, 100% 50%, calc(100% - 6px) 100%, 0 100%); }
  .people { margin-top: 4px; }
  .two { columns: 2; column-gap: 26px; }
  .two section { break-inside: avoid; padding-top: 14px; }
  .two h3 { margin-top: 0; }
  .lines li { padding: 2px 0 2px 15px; position: relative; line-height: 1.26; }
  .lines li::before { content: ''; position: absolute; left: 0; top: 0.55em; width: 8px; height: 8px; background: #000; }
  .sign { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr) 124px; gap: 20px; margin-top: 20px; align-items: end; break-inside: avoid; }
  .sign .rule { border-bottom: 2.5px solid #000; height: 52px; margin-bottom: 3px; }
  .sign > div { align-self: start; }
  .qr { width: 124px; height: 124px; justify-self: end; }
  .foot { break-inside: avoid; }
  .chain { display: flex; justify-content: space-between; gap: 4px 14px; border-top: 4px solid #000; margin-top: 12px; padding-top: 6px; flex-wrap: wrap; break-inside: avoid; }
  .chain .end { font: 700 1.25rem/1.2 var(--pen); letter-spacing: 0.02em; white-space: nowrap; }
  @media screen and (max-width: 700px) {
    .around { padding: 8px; }
    article { padding: 14px 12px; }
    .car { grid-template-columns: minmax(0, 1fr); }
    .two { columns: 1; }
    header { grid-template-columns: auto minmax(0, 1fr); }
    .right { grid-column: 1 / -1; text-align: left; }
    thead { display: none; }
    tr { display: grid; grid-template-columns: 40px minmax(0, 1fr) auto; border-bottom: 1px solid #000; padding: 4px 0; }
    td { border: 0; height: auto; }
    td.name { grid-column: 2; width: auto; }
    td.when { grid-column: 3; grid-row: 1; }
    td.found, td.done, td.checked { grid-column: 2 / -1; }
    td.done:not(:empty)::before { content: 'done '; }
    td.checked:not(:empty)::before { content: 'check '; }
    .sign { grid-template-columns: minmax(0, 1fr); }
    .qr { justify-self: start; }
  }
  @media print {
    .around { background: none; padding: 0; }
    article { max-width: none; border: 0; padding: 0; font-size: 10pt; line-height: 1.26; }
    lb-brand-mark { width: 13mm; height: 13mm; }
    h2.title { font-size: 21pt; }
    .ro { font-size: 23pt; }
    h3 { font-size: 12pt; margin: 2.4mm 0 0.6mm; break-after: avoid; }
    .band { border: 2.5pt solid #000; padding: 1.4mm 3mm 1.8mm; margin-top: 2.5mm; }
    .band li { margin-top: 0.5mm; line-height: 1.2; }
    .band h3 { font-size: 24pt; }
    td { height: 5.9mm; padding: 0.2mm 2mm 0.2mm 0; line-height: 1.14; }
    .two section { padding-top: 2.6mm; }
    .two h3 { margin-top: 0; }
    .lines li { padding: 0.3mm 0 0.3mm 4mm; }
    .lines li::before { width: 2mm; height: 2mm; top: 1.2mm; }
    tr { break-inside: avoid; }
    td.mark { width: 7.5mm; }
    lb-bolt { width: 5.8mm; height: 5.8mm; }
    .sw { font-size: 8pt; line-height: 3.8mm; }
    .qr { width: 23mm; height: 23mm; }
    .sign { grid-template-columns: 1fr 1fr 23mm; gap: 6mm; margin-top: 1.5mm; }
    .sign .rule { height: 11mm; }
    .chain { margin-top: 1.5mm; padding-top: 1mm; border-top-width: 2.5pt; }
    .chain .end { font-size: 13pt; }
  }
`;
