import { css } from 'lit';

export const gate = css`
  .band { padding: 12px 16px 20px; }
  .head { font-size: var(--t-head); font-weight: 800; letter-spacing: -0.03em; line-height: 1.05; padding-bottom: 8px; border-bottom: 2px solid var(--ink); overflow-wrap: anywhere; }
  .refusal { display: grid; grid-template-columns: 40px minmax(0, 1fr); gap: 2px 8px; padding: 10px 0; border-bottom: 2px solid var(--ink); line-height: 1.28; }
  .refusal lb-bolt { width: 40px; height: 40px; }
  .refusal > div { display: flex; flex-wrap: wrap; align-items: center; gap: 6px 14px; }
  .refusal .whole { flex: 0 0 100%; }
  .refusal p { flex: 1 1 300px; min-width: 0; overflow-wrap: anywhere; }
  .form .keys { margin-top: 0; }
  .key { min-height: 54px; }
  .mains { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 260px), 1fr)); gap: 10px; margin-top: 14px; }
  .mains .key.main { width: 100%; }
  .mains p { grid-column: 1 / -1; line-height: 1.26; }
  .line { border-left: 10px solid var(--ink); padding: 4px 0 8px 12px; margin-top: 12px; line-height: 1.3; }
  .line .key { margin-top: 8px; }
  .signed { font: 650 var(--t-step) / 1 var(--pen); }
  .form { display: grid; gap: 10px; margin-top: 10px; }
  .two { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 220px), 1fr)); gap: 10px 14px; margin-top: 12px; }
  .two .filled { font: 650 var(--t-step) / 1.2 var(--pen); border-bottom: 2px solid var(--ink); min-height: 54px; display: flex; align-items: center; overflow-wrap: anywhere; }
  .against { border-left: 10px solid var(--ink); padding: 2px 0 2px 10px; line-height: 1.26; font-weight: 650; }
  .black { background: var(--ink); color: var(--paper); padding: 8px 12px; font-size: var(--t-head); font-weight: 800; letter-spacing: -0.01em; line-height: 1.1; }
  input, textarea { min-height: 54px; }
  textarea {
    appearance: none; font: 650 var(--t-step) / 1.2 var(--pen); color: var(--ink); background: var(--wash);
    border: 2px solid var(--touch); border-radius: 4px; width: 100%; padding: 8px 12px; margin: 0; resize: vertical;
  }
`;
