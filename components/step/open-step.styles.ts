import { css } from 'lit';

export const openStep = css`
  article { border: 4px solid var(--ink); background: var(--paper); position: relative; }
  .top { display: flex; flex-wrap: wrap; gap: 4px 10px; align-items: center; padding: 4px 14px 4px 8px; background: var(--paint); color: var(--on-paint); border-bottom: 4px solid var(--ink); --ink: #12161a; --paper: #ffd21f; border-color: #12161a; }
  .top lb-bolt { width: 52px; height: 52px; }
  .top h2 { font-size: 1.75rem; line-height: 1.05; letter-spacing: -0.025em; flex: 1 1 240px; }
  .top .state { text-align: right; line-height: 1.2; font-weight: 650; }
  .why { padding: 8px 14px; border-bottom: 2px solid var(--ink); line-height: 1.3; }
  .why p + p { margin-top: 4px; }
  /* the lines between are the ground showing through, whichever way the two lie */
  .columns { display: flex; flex-wrap: wrap; gap: 2px; background: var(--ink); }
  .columns > div { flex: 3 1 400px; min-width: 0; padding: 10px 14px 14px; background: var(--paper); }
  .columns > div + div { flex: 2 1 290px; }
  section + section, section + slot { margin-top: 12px; }
  slot[name='values'] { display: block; }
  .waits { display: flex; align-items: center; gap: 8px; line-height: 1.2; padding: 2px 0; }
  .waits lb-bolt { width: 34px; height: 34px; flex: none; }
  .waits a { display: inline-flex; align-items: center; min-height: 48px; }
  section p a { display: inline-block; padding: 6px 0; }
  .outline { counter-reset: o; }
  .outline li { counter-increment: o; display: grid; grid-template-columns: 28px 1fr; line-height: 1.26; padding: 2px 0; }
  .outline li::before { content: counter(o); font: 700 1.125rem/1.26 var(--pen); }
  .caution { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; line-height: 1.26; }
  .caution + .caution { margin-top: 8px; }
  .blank { display: grid; grid-template-columns: minmax(0, 1fr) auto; align-items: end; gap: 2px 10px; min-height: 50px; padding: 5px 0; border-bottom: 2px solid var(--ink); line-height: 1.18; }
  .blank .unit { font: 600 1.25rem/1 var(--pen); white-space: nowrap; }
  .blank .limit { font-size: var(--t-fine); color: var(--ink-2); display: block; }
  .asked { padding: 6px 0 12px; border-bottom: 2px solid var(--ink); }
  .asked p, .asked label { line-height: 1.2; margin-bottom: 8px; }
  .asked input { margin-top: 6px; }
  .plain li { padding: 2px 0 2px 16px; position: relative; line-height: 1.26; }
  .plain li::before { content: ''; position: absolute; left: 0; top: 0.55em; width: 8px; height: 8px; background: var(--ink); }
  details { margin-top: 10px; }
  summary { display: inline-flex; align-items: center; min-height: 48px; color: var(--touch); font-weight: 650; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 4px; cursor: pointer; }
  summary::before { content: '+'; font: 700 1.25rem/1 var(--pen); margin-right: 8px; }
  details[open] > summary::before { content: '-'; }
  .sources li { padding: 4px 0; line-height: 1.25; overflow-wrap: anywhere; }
  .tree ul { padding-left: 18px; border-left: 2px solid var(--ink); }
  .tree li { padding: 2px 0; line-height: 1.26; }
  footer { border-top: 2px solid var(--ink); padding: 10px 14px; }
  @media (max-width: 560px) { .top h2 { font-size: 1.5rem; flex: 1 1 180px; } .top .state { text-align: left; flex-basis: 100%; padding-left: 8px; } }
`;
