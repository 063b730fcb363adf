import '../../../components/papers/hand-over.ts';
import { html, type TemplateResult } from 'lit';
import { selfTestsLine } from '../../job/codes/self-tests.ts';
import type { Sight } from '../../job/sight.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';

export interface Handed {
  readonly sight: Sight;
  readonly rulebook: Rulebook;
  readonly car: string;
  readonly hash: string;
  readonly shop: string;
}

/** The customer's page, with what the record knows of the car's own tests. */
export function handOverLeaf({ sight, rulebook, car, hash, shop }: Handed): TemplateResult {
  const tests = [selfTestsLine(sight, rulebook)].filter(Boolean);
  return html`<lb-hand-over .sight=${sight} .rulebook=${rulebook} .car=${car} .hash=${hash} .shop=${shop} .selfTests=${tests}></lb-hand-over>`;
}
