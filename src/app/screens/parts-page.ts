import { html, type TemplateResult } from 'lit';
import type { Rulebook } from '../../rulebook/rulebook.ts';

export function partsPage(_rulebook: Rulebook): TemplateResult {
  return html``;
}
