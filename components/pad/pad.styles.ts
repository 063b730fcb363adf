import { css } from 'lit';

export const pad = css`
  .field { display: grid; grid-template-columns: minmax(0, 1fr) minmax(4.6ch, auto) auto; align-items: center; gap: 2px 8px; border: 3px solid var(--touch); background: var(--wash); padding: 2px 8px; border-radius: 4px; line-height: 1.18; min-height: 62px; }
  .field:focus-within { outline: 4px solid var(--paint); outline-offset: 2px; box-shadow: 0 0 0 8px var(--ink); }
  .field label { font-weight: 650; overflow-wrap: anywhere; }
  .limit { display: block; font-size: var(--t-fine); color: var(--ink-2); }
  .field input { border: 0; background: none; padding: 0; min-height: 54px; font: 650 var(--t-value) / 1 var(--pen); text-align: right; width: 5.2ch; color: var(--ink); }
  .field input:focus { outline: none; box-shadow: none; }
  .unit { font: 650 1.25rem/1 var(--pen); white-space: nowrap; }
  .key.unit { min-height: 54px; min-width: 54px; padding: 0 8px; }
  svg.gauge { width: 100%; max-width: 420px; margin: 6px auto 0; color: var(--ink); }
  svg.gauge text { font: 600 16px var(--pen); fill: currentColor; text-anchor: middle; }
  .pad { display: grid; grid-template-columns: repeat(4, minmax(0, 1fr)); gap: 6px; margin-top: 6px; }
  .pad .key { min-height: 56px; min-width: 0; padding: 0 2px; font: 700 1.625rem/1 var(--pen); }
  .pad .word { font: 750 var(--t-body) / 1.1 var(--print); overflow-wrap: anywhere; }
  .pad .tall { grid-row: span 3; }
  .says { display: grid; grid-template-columns: 34px minmax(0, 1fr); gap: 8px; align-items: center; margin-top: 6px; min-height: 44px; line-height: 1.2; }
  .says svg { width: 34px; height: 34px; }
  .says.against { border-left: 10px solid var(--ink); padding-left: 8px; }
  .keys { margin-top: 6px; }
  .keys .key { min-height: 54px; }
  .because { margin-top: 8px; }
`;
