import { css } from 'lit';

export const learning = css`
  .band { padding: 12px 16px 18px; border-bottom: 3px solid var(--ink); line-height: 1.3; }
  .brief { display: flex; flex-wrap: wrap; gap: 8px 16px; align-items: center; justify-content: space-between; }
  h2 { margin-bottom: 6px; }
  li { display: flex; gap: 10px; align-items: flex-start; padding: 5px 0; }
  .told { font-family: var(--pen); font-weight: 560; }
  article { display: grid; grid-template-columns: minmax(0, 1fr) auto; gap: 2px 20px; align-items: center; border-top: 2px solid var(--ink); padding: 6px 0; break-inside: avoid; }
  h3 { font-size: var(--t-step); font-weight: 650; line-height: 1.2; }
  dl { display: flex; gap: 4px 16px; margin: 0; }
  dl div { min-width: 76px; text-align: right; }
  dt { font-size: var(--t-fine); color: var(--ink-2); }
  dd { margin: 0; font: 700 var(--t-step) / 1.2 var(--pen); }
  details { grid-column: 1 / -1; }
  summary { display: flex; align-items: center; min-height: 48px; color: var(--touch); font-weight: 650; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 4px; cursor: pointer; }
  a.alone { display: inline-flex; align-items: center; min-height: 48px; }
  .key { min-height: 54px; }
  @media (max-width: 760px) {
    article { grid-template-columns: minmax(0, 1fr); }
    dl { flex-wrap: wrap; }
    dl div { text-align: left; }
  }
  @media print {
    :host { color: #000; }
    .screen, summary { display: none; }
    .band { padding: 4px 0 8px; break-inside: auto; }
    article { grid-template-columns: minmax(0, 1fr) auto; }
    a.alone { min-height: 0; color: inherit; text-decoration: none; }
  }
`;
