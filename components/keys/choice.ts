import { html, type TemplateResult } from 'lit';

export interface Option {
  readonly value: string;
  readonly text: string;
}

/** A row of keys of which those in `picked` are in. Needs the `key` styles. */
export function choice(
  label: string,
  options: readonly Option[],
  picked: readonly string[],
  pick: (value: string) => void,
): TemplateResult {
  return html`<div class="keys" role="group" aria-label=${label}>
    ${options.map(
      ({ value, text }) =>
        html`<button type="button" class="key" aria-pressed=${picked.includes(value) ? 'true' : 'false'} @click=${() => pick(value)}>${text}</button>`,
    )}
  </div>`;
}
