import { css } from 'lit';

export const lastBolt = css`
  main { background: var(--paper); max-width: 1280px; margin: 0 auto; min-height: calc(100vh - 76px); }
  main:focus { outline: none; box-shadow: none; }
  main.bench { background: var(--bench); }
  .notice { padding: 14px 16px; border-bottom: 3px solid var(--ink); font-size: var(--t-step); }
  .notice .keys { margin-top: 8px; }
  footer { background: var(--bench); max-width: 1280px; margin: 0 auto; min-height: 76px; padding: 12px 16px; display: flex; flex-wrap: wrap; gap: 8px 16px; align-items: center; }
  footer p { flex: 1 1 260px; line-height: 1.25; }
  footer .key { background: var(--paper); }
  @media print { main { max-width: none; min-height: 0; background: #fff; } .notice { display: none; } }
`;
