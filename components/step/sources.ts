import { html, type TemplateResult } from 'lit';
import type { FollowUp, Rulebook } from '../../src/rulebook/rulebook.ts';

const BASIS = { read: 'read', memory: 'from memory', 'common-practice': 'common practice' } as const;

/** Where a follow-up's figures come from, folded away. */
export function sources(followUp: FollowUp, rulebook: Rulebook): TemplateResult {
  const uses = followUp.text.sources;
  return html`<details class="sources">
    <summary>${uses.length === 1 ? '1 source' : `${uses.length} sources`}</summary>
    <ul>
      ${uses.map((use) => {
        const row = rulebook.sources.get(use.id);
        const work = [row?.publisher, row?.title ?? use.id, row?.ref, row?.year].filter(Boolean).join(', ');
        const basis = BASIS[use.basis] + (use['read-on'] ? ` ${use['read-on']}` : '');
        return html`<li>${work}${use.section ? `, ${use.section}` : ''} <span class="soft">(${basis})</span></li>`;
      })}
    </ul>
  </details>`;
}
