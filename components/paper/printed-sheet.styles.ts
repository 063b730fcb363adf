import { css } from 'lit';

export const paper = css`
  :host { display: none; }
  @media print {
    :host { display: block; color: #000; font-size: 10pt; line-height: 1.28; }
    header { display: grid; grid-template-columns: auto 1fr auto auto; gap: 4mm; align-items: end; border-bottom: 3.5pt solid #000; padding-bottom: 2mm; }
    lb-brand-mark { width: 13mm; height: 13mm; }
    .title { font-size: 21pt; line-height: 1; font-weight: 800; letter-spacing: -0.035em; }
    .right { text-align: right; }
    .ro { font: 700 23pt/1 var(--pen); letter-spacing: -0.04em; overflow-wrap: anywhere; }
    .qr { width: 19mm; height: 19mm; margin: -2mm; }
    .car { display: grid; grid-template-columns: 1.2fr 1.6fr auto; gap: 1mm 6mm; padding: 2mm 0 2.5mm; border-bottom: 1.5pt solid #000; }
    section { margin-top: 3mm; }
    h2 { font-size: 13pt; border-bottom: 2pt solid #000; padding-bottom: 1mm; break-after: avoid; }
    h2 small { font-size: 9.5pt; font-weight: 500; letter-spacing: 0; }
    .letter { display: inline-block; border: 2pt solid #000; min-width: 6.4mm; text-align: center; margin-right: 2mm; padding: 0 1mm; line-height: 1.25; }
    .together { break-inside: avoid; }
    .tear { display: flex; align-items: center; gap: 3mm; margin: 1mm 0 3mm; font-weight: 650; }
    .tear::after { content: ''; flex: 1 0 10mm; border-top: 1.5pt dashed #000; }
    .step { display: grid; grid-template-columns: 9mm minmax(0, 1fr) 64mm; gap: 0 3mm; padding: 1.8mm 0 2.2mm; border-bottom: 0.75pt solid #000; break-inside: avoid; }
    lb-bolt { width: 8mm; height: 8mm; }
    h3 { font-size: 11.5pt; line-height: 1.2; }
    h3 lb-plate { vertical-align: -0.6mm; }
    h3 small { font-weight: 500; font-size: 9pt; }
    .drive { padding: 1.5mm 0; border-bottom: 0.75pt solid #000; }
    .why { margin: 0.4mm 0 0.8mm; }
    ol { counter-reset: o; }
    li { counter-increment: o; padding-left: 5mm; position: relative; }
    li::before { content: counter(o); position: absolute; left: 0; font-family: var(--pen); font-weight: 700; }
    .caution { border-left: 2.2mm solid #000; padding-left: 2mm; margin-top: 1mm; }
    .blank { display: grid; grid-template-columns: minmax(0, 1fr) 24mm; gap: 2mm; align-items: end; padding-bottom: 1mm; line-height: 1.15; }
    .blank small { font-size: 8.5pt; }
    .box { border: 1pt solid #000; height: 7.5mm; text-align: right; padding: 2.6mm 1mm 0 0; font-size: 9pt; }
    .sign { display: grid; grid-template-columns: 1fr 18mm; gap: 2mm; margin-top: 6.5mm; font-size: 8.5pt; line-height: 1.1; }
    .sign span { border-top: 1pt solid #000; padding-top: 0.5mm; }
    .perhaps { padding: 0.8mm 0; }
    .perhaps .sign { margin-top: 5.5mm; }
    .end { margin-top: 4mm; break-inside: avoid; }
  }
`;
