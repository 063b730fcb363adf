import { css } from 'lit';

export const acts = css`
  section + section, .mains + section, .then { margin-top: 12px; }
  p { line-height: 1.26; }
  p + p { margin-top: 4px; }
  .key { min-height: 54px; }
  .mains { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 140px), 1fr)); gap: 8px; margin-top: 12px; }
  .mains .key.main { padding: 6px 6px; gap: 6px; font-size: 1.25rem; width: 100%; }
  .mains lb-bolt { width: 40px; height: 40px; flex: none; }
  .key.full lb-bolt { --ground: var(--touch); }
  .not-yet { border: 2px dashed var(--edge); padding: 10px 12px; }
  .strong { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; }
  .told { font-family: var(--pen); font-weight: 560; }
  .count { font: 650 var(--t-value) / 1.1 var(--pen); white-space: nowrap; }
  details { margin-top: 12px; border-top: 2px solid var(--ink); }
  summary { display: flex; align-items: center; min-height: 54px; color: var(--touch); font-weight: 650; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 4px; cursor: pointer; }
  summary::before { content: '+'; font: 700 1.25rem/1 var(--pen); margin-right: 8px; }
  details[open] > summary::before { content: '−'; }
  form, .form { display: grid; gap: 10px; margin-top: 10px; }
  input, textarea { min-height: 54px; }
  textarea {
    appearance: none; font: 650 var(--t-step) / 1.2 var(--pen); color: var(--ink); background: var(--wash);
    border: 2px solid var(--touch); border-radius: 4px; width: 100%; padding: 8px 12px; margin: 0; resize: vertical;
  }
  .answers { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 240px), 1fr)); gap: 10px; margin-top: 8px; }
  .answer { border: 2px solid var(--ink); padding: 10px 12px; display: grid; gap: 8px; align-content: start; }
`;
