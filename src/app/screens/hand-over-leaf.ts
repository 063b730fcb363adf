import '../../../components/papers/hand-over.ts';
import { html, type TemplateResult } from 'lit';
import { selfTestsLine } from '../../job/codes/self-tests.ts';
import type { Sight } from '../../job/sight.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { CodeBook } from '../../scan/schema.ts';

export interface Handed {
  readonly sight: Sight;
  readonly rulebook: Rulebook;
  readonly book: CodeBook;
  readonly car: string;
  readonly hash: string;
  readonly shop: string;
}

/** The customer's page, with what the record knows of the car's own tests. */
export function handOverLeaf({ sight, rulebook, book, car, hash, shop }: Handed): TemplateResult {
  const tests = [selfTestsLine(sight, rulebook, book)].filter(Boolean);
  return html`<lb-hand-over .sight=${sight} .rulebook=${rulebook} .car=${car} .hash=${hash} .shop=${shop} .selfTests=${tests}></lb-hand-over>`;
}
