import { css } from 'lit';

/** What every element of the sheet shares: plain boxes, the two faces, focus, links. */
export const sheet = css`
  * { box-sizing: border-box; }
  :host { display: block; }
  :host([hidden]), [hidden] { display: none !important; }
  h1, h2, h3, p, ol, ul, dl, dd, figure, fieldset { margin: 0; padding: 0; border: 0; }
  ol, ul { list-style: none; }
  h2 { font-size: var(--t-stop); font-weight: 800; letter-spacing: -0.02em; line-height: 1.15; }
  h3 { font-size: var(--t-body); font-weight: 800; line-height: 1.2; }
  a { color: var(--touch); font-weight: 650; text-underline-offset: 4px; text-decoration-thickness: 2px; }
  a.alone { display: inline-flex; align-items: center; min-height: 48px; min-width: 48px; }
  svg { display: block; flex: none; }
  .pen { font-family: var(--pen); font-weight: 560; letter-spacing: -0.01em; }
  .soft { color: var(--ink-2); }
  .label { font-weight: 750; }
  .unbroken { white-space: nowrap; }
  .unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
  :focus-visible { outline: 4px solid var(--paint); outline-offset: 2px; box-shadow: 0 0 0 8px var(--ink); }
  @media print { .screen { display: none !important; } }
`;

/** What a finger may touch looks like a key, in black and white too; picked = filled, with a tick. */
export const key = css`
  .key {
    appearance: none; font: 720 var(--t-body) / 1.1 var(--print); color: var(--touch); background: var(--paper);
    border: 2px solid var(--touch); border-bottom-width: 5px; border-radius: 7px;
    min-height: var(--tap); min-width: var(--tap); padding: 6px 14px;
    display: inline-flex; align-items: center; justify-content: center; gap: 10px;
    text-decoration: none; text-align: center; cursor: pointer;
  }
  .key.main { min-height: var(--tap-main); font-size: var(--t-stop); border-width: 3px; border-bottom-width: 7px; padding: 6px 20px; }
  .key.full, .key[aria-pressed='true'] { background: var(--touch); color: var(--on-touch); }
  .key[aria-pressed='true']::before {
    content: ''; width: 11px; height: 19px; border: solid currentColor; border-width: 0 4px 4px 0;
    transform: rotate(40deg) translate(-2px, -2px); flex: none;
  }
  .key[aria-disabled='true'] { color: var(--ink-2); border: 2px dashed var(--edge); background: none; cursor: default; }
  .keys { display: flex; flex-wrap: wrap; gap: 8px; }
  @media print { .key { display: none; } }
`;

/** Empty blanks are boxed in touch blue. */
export const blank = css`
  input, select {
    appearance: none; font: 650 var(--t-step) / 1.2 var(--pen); color: var(--ink); background: var(--wash);
    border: 2px solid var(--touch); border-radius: 4px; min-height: var(--tap); width: 100%; padding: 6px 12px; margin: 0;
  }
  select {
    padding-right: 40px;
    background-image: linear-gradient(45deg, transparent 50%, var(--touch) 50%), linear-gradient(-45deg, transparent 50%, var(--touch) 50%);
    background-position: calc(100% - 22px) 50%, calc(100% - 13px) 50%; background-size: 9px 9px; background-repeat: no-repeat;
  }
  input::placeholder { color: var(--ink-2); font-weight: 450; }
  label { display: block; }
  label > .label { display: block; margin-bottom: 3px; }
`;
