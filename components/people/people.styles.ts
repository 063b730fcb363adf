import { css } from 'lit';

export const people = css`
  .head { display: flex; align-items: center; gap: 12px; padding: 10px 16px; border-bottom: 4px solid var(--ink); }
  .head lb-brand-mark { width: 44px; height: 44px; flex: none; }
  h1 { font-size: var(--t-head); font-weight: 800; letter-spacing: -0.03em; line-height: 1.1; }
  .columns { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 400px); }
  .columns > * { padding: 14px 16px 20px; min-width: 0; }
  .columns > * + * { border-left: 3px solid var(--ink); }
  .who { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 230px), 1fr)); gap: 10px; margin-top: 10px; }
  .who .key { min-height: var(--tap-main); width: 100%; justify-content: flex-start; text-align: left; border-width: 3px; border-bottom-width: 7px; }
  .who b { display: block; font-size: var(--t-step); line-height: 1.15; overflow-wrap: anywhere; }
  .who small { display: block; font-size: var(--t-fine); font-weight: 500; line-height: 1.2; margin-top: 2px; }
  form { display: grid; gap: 14px; max-width: 560px; }
  form .key.main { justify-self: start; }
  .two { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 200px), 1fr)); gap: 14px; }
  label > .label { margin-bottom: 9px; }
  .against { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; line-height: 1.26; margin-bottom: 10px; font-weight: 650; }
  p { line-height: 1.3; }
  input { min-height: 54px; }
  .key { min-height: 54px; }
  @media (max-width: 860px) {
    .columns { grid-template-columns: minmax(0, 1fr); }
    .columns > * + * { border-left: 0; border-top: 3px solid var(--ink); }
  }
`;
