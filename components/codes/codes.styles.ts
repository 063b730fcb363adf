import { css } from 'lit';

/** Shared by everything on the leaf of codes. */
export const codes = css`
  p { line-height: 1.28; overflow-wrap: anywhere; }
  p + p { margin-top: 4px; }
  .key { min-height: 54px; }
  .keys { margin-top: 8px; }
  .strong { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; }
  .form { display: grid; gap: 10px; margin-top: 8px; }
  .fine { font-size: var(--t-fine); }
  details { border-top: 2px solid var(--ink); margin-top: 8px; }
  summary { display: flex; align-items: center; min-height: 54px; color: var(--touch); font-weight: 650; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 4px; cursor: pointer; }
  summary::before { content: '+'; font: 700 1.25rem/1 var(--pen); margin-right: 8px; }
  details[open] > summary::before { content: '−'; }
  textarea {
    appearance: none; font: 600 var(--t-body) / 1.3 var(--pen); color: var(--ink); background: var(--wash); min-height: 54px;
    border: 2px solid var(--touch); border-radius: 4px; width: 100%; padding: 8px 12px; margin: 0; resize: vertical;
  }
  textarea::placeholder { color: var(--ink-2); font-weight: 450; }
`;
