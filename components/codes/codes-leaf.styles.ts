import { css } from 'lit';

export const leaf = css`
  :host { container-type: inline-size; }
  .sum { padding: 10px 16px; border-bottom: 2px solid var(--ink); font-size: var(--t-step); line-height: 1.25; }
  .grid { display: grid; grid-template-columns: minmax(0, 1fr) 24.5rem; }
  .side { border-left: 4px solid var(--ink); }
  .side > section { padding: 10px 16px 16px; }
  .side > section + section { border-top: 4px solid var(--ink); }
  .readings { display: grid; grid-template-columns: 1fr 1fr; border-bottom: 4px solid var(--ink); }
  .readings section { padding: 10px 16px 12px; }
  .readings section + section { border-left: 2px solid var(--ink); }
  .band { padding: 10px 16px 16px; border-bottom: 2px solid var(--ink); }
  .c.h { display: grid; grid-template-columns: 8.625rem 7.75rem 8.625rem minmax(0, 1fr); gap: 4px 12px; border-bottom: 4px solid var(--ink); font-weight: 800; padding: 8px 16px; line-height: 1.15; }
  .step { display: flex; align-items: center; gap: 8px; min-height: 54px; }
  .step lb-bolt { width: 34px; height: 34px; flex: none; }
  .lamps h3 { margin-top: 10px; }
  .lamps .strong { margin-top: 10px; }
  lb-readiness { margin-top: 8px; }
  @container (max-width: 68rem) {
    .grid { grid-template-columns: minmax(0, 1fr); }
    .side { border-left: 0; border-top: 4px solid var(--ink); }
  }
  @container (max-width: 43rem) { .c.h { display: none; } .readings section { padding: 10px 12px; } }
  @container (max-width: 30rem) { .readings { grid-template-columns: minmax(0, 1fr); } .readings section + section { border-left: 0; border-top: 2px solid var(--ink); } }
`;
