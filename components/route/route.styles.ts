import { css } from 'lit';

/** A row of the route: margin (safety only), line, text. The line is hollow: it is still ahead. */
export const row = css`
  .r { position: relative; display: grid; grid-template-columns: var(--margin) var(--line) minmax(0, 1fr); align-items: start; min-height: var(--row); }
  .r::before {
    content: ''; position: absolute; top: 0; bottom: 0; left: calc(var(--margin) + var(--line) / 2 - var(--rail) / 2);
    width: var(--rail); border: solid var(--ink); border-width: 0 2.5px; background: var(--paper);
  }
  :host([last]) .r::before, .r.last::before { bottom: auto; height: 32px; }
  .m { grid-column: 1; justify-self: end; padding-top: 15px; z-index: 1; }
  .k { grid-column: 2; justify-self: center; padding-top: 6px; z-index: 1; }
  .t { grid-column: 3; display: block; padding: 9px 12px 9px 6px; min-width: 0; min-height: var(--row); color: inherit; font-weight: 400; text-decoration: none; }
  .name { font-size: var(--t-step); font-weight: 700; line-height: 1.15; letter-spacing: -0.012em; }
  .say { line-height: 1.25; margin-top: 2px; }
  .say b { font-weight: 750; }
  @media (max-width: 560px) {
    .m { padding-top: 4px; justify-self: center; }
    .r.plated { min-height: 96px; }
  }
`;
