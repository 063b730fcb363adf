import { css } from 'lit';

export const check = css`
  @media print { li { break-inside: avoid; } }
  .top { padding: 10px 16px; border-bottom: 3px solid var(--ink); line-height: 1.3; }
  .columns { display: grid; grid-template-columns: minmax(0, 1fr); }
  .columns > .side { border-top: 5px solid var(--ink); min-width: 0; }
  .lamps { padding: 12px 16px 18px; border-bottom: 3px solid var(--ink); }
  .lamps h2 { margin-bottom: 6px; }
  .pages { display: flex; flex-wrap: wrap; gap: 10px; align-items: center; padding: 12px 16px; }
  .pages p { flex: 1 1 auto; }
  .key { min-height: 54px; }
  @media (min-width: 1100px) {
    .columns { grid-template-columns: minmax(0, 1fr) 400px; }
    .columns > .side { border-top: 0; border-left: 4px solid var(--ink); }
  }
`;

export const checkRow = css`
  .t { border-bottom: 2px solid var(--ink); display: grid; grid-template-columns: minmax(0, 1fr) 190px 190px; gap: 4px 12px; padding: 9px 12px 10px 6px; }
  .t > .wide { grid-column: 1 / -1; }
  .cell { line-height: 1.2; min-width: 0; }
  .cell small { display: block; font-size: var(--t-fine); color: var(--ink-2); overflow-wrap: anywhere; }
  .wrote { font: 600 var(--t-body) / 1.25 var(--pen); border-bottom: 2px solid var(--ink); overflow-wrap: anywhere; display: inline-block; }
  .cell .key { width: 100%; margin-top: 4px; }
  .key { min-height: 54px; }
  .work { border: 4px solid var(--ink); padding: 10px 14px 14px; margin-top: 6px; display: grid; gap: 10px; max-width: 640px; }
  .work .paint { background: var(--paint); color: var(--on-paint); margin: -10px -14px 0; padding: 8px 14px; border-bottom: 4px solid #12161a; font-weight: 750; line-height: 1.25; }
  .against { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; line-height: 1.26; font-weight: 650; }
  .form { display: grid; gap: 10px; }
  .r::before { background: linear-gradient(var(--ink), var(--ink)) no-repeat 0 0 / 100% var(--gone, 0); }
  :host([done]) { --gone: 100%; }
  textarea {
    appearance: none; font: 650 var(--t-step) / 1.2 var(--pen); color: var(--ink); background: var(--wash);
    border: 2px solid var(--touch); border-radius: 4px; width: 100%; padding: 8px 12px; margin: 0; resize: vertical; min-height: 54px;
  }
  @media (max-width: 720px) {
    .t { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
    .t > .what { grid-column: 1 / -1; }
  }
`;
