import { css } from 'lit';

export const before = css`
  :host { background: var(--bench); }
  .wrap { padding: 12px 20px 20px; }
  .tag { background: var(--paper); border: 4px solid var(--ink); display: grid; grid-template-columns: 150px minmax(0, 1fr) minmax(0, 1fr); }
  .hang { border-right: 3px dashed var(--ink); display: flex; flex-direction: column; align-items: center; padding: 18px 10px; gap: 12px; text-align: center; }
  .hang p { line-height: 1.2; }
  .hole { width: 126px; height: 90px; overflow: visible; }
  .hang .ro { font: 700 1.75rem/1 var(--pen); overflow-wrap: anywhere; }
  .col { padding: 10px 16px; min-width: 0; }
  .col + .col { border-left: 2px solid var(--ink); }
  .col h2 { line-height: 1.1; padding-bottom: 5px; border-bottom: 4px solid var(--ink); }
  li + li { border-top: 2px solid var(--ink); }
  .item { display: grid; grid-template-columns: 48px minmax(0, 1fr); gap: 4px 10px; align-items: start; padding: 10px 0; min-height: 96px; }
  .item lb-bolt { width: 46px; height: 46px; }
  h3 { font-size: var(--t-step); font-weight: 700; line-height: 1.16; letter-spacing: -0.01em; }
  .item p { line-height: 1.25; margin-top: 3px; }
  .item .keys { margin: 6px 0 8px; }
  .none { padding: 16px 0; }
  .inplace { margin: 0 0 12px; }
  .ahead { background: var(--paper); border: 4px solid var(--ink); margin-top: 12px; padding-top: 8px; }
  .ahead h2 { padding: 0 16px; }
  .foot { background: var(--paper); border-top: 3px solid var(--ink); }
  @media (max-width: 900px) {
    .tag { grid-template-columns: minmax(0, 1fr); }
    .hang { flex-direction: row; border-right: 0; border-bottom: 3px dashed var(--ink); justify-content: flex-start; text-align: left; }
    .hole { width: 100px; height: 72px; }
    .hang { padding: 8px 12px 8px 0; }
    .hang div { flex: none; }
    .hang .soft { display: none; }
    .col + .col { border-left: 0; border-top: 2px solid var(--ink); }
    .wrap { padding: 8px; }
  }
`;
