import { css } from 'lit';

export const route = css`
  .as-left { padding: 4px 16px 10px; border-bottom: 3px solid var(--ink); }
  .as-left summary { font-weight: 750; min-height: 48px; display: flex; align-items: center; cursor: pointer; }
  .body { position: relative; }
  lb-route-picture { border-bottom: 3px solid var(--ink); }
  .brief { padding: 10px 16px; border-bottom: 3px solid var(--ink); display: flex; flex-wrap: wrap; gap: 4px 24px; align-items: center; }
  .brief p { line-height: 1.3; flex: 1 1 320px; }
  .turns { display: flex; flex-wrap: wrap; gap: 8px; padding: 10px 14px; border-top: 2px solid var(--ink); }
  .turns .key { max-width: 100%; }
  .perhaps { padding: 4px 12px 10px 6px; }
  .perhaps .chain { margin: 8px 0; }
  .perhaps li { display: flex; gap: 2px 10px; flex-wrap: wrap; align-items: center; }
  .perhaps details { flex: 1 1 200px; }
  .perhaps summary { min-height: 48px; display: flex; align-items: center; font-weight: 700; cursor: pointer; }
  .perhaps summary::before { content: '+'; font: 700 1.25rem/1 var(--pen); color: var(--touch); margin-right: 8px; }
  .perhaps details[open] > summary::before { content: '-'; }
  .perhaps details p { padding-bottom: 8px; }
  .after { padding: 10px 16px 24px 6px; max-width: 760px; }
  .after h2 { margin-bottom: 6px; }
  .after, .perhaps { margin-left: calc(var(--margin) + var(--line)); }
  .none { padding: 24px 16px; font-size: var(--t-step); }
  .ring { margin-left: calc(var(--margin) + var(--line)); padding: 6px 12px 6px 6px; }
  @media (min-width: 1000px) {
    .body.opened ol, .body.opened .after, .body.opened .perhaps, .body.opened .ring { width: 452px; }
    .body.opened .after, .body.opened .perhaps, .body.opened .ring { width: calc(452px - var(--margin) - var(--line)); }
    .body.opened { min-height: 100vh; }
    .fold { display: none; }
    .inplace { position: absolute; left: 452px; right: 12px; top: 10px; bottom: 10px; }
    .siding { position: sticky; top: 10px; max-height: calc(100vh - 20px - var(--timers, 0px)); overflow: auto; }
  }
  @media (max-width: 999px) {
    .siding { margin: 0 12px 14px calc(var(--margin) + var(--line) / 2 - 4px); }
    li.here lb-step-row { display: none; }
  }
  @media (max-width: 560px) {
    .siding { margin-left: 6px; margin-right: 6px; }
    .after, .perhaps, .ring { margin-left: 12px; }
  }
`;
