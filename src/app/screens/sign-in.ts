import '../../../components/people/sign-in.ts';
import { html, type TemplateResult } from 'lit';
import type { FirstMade, SignedIn } from '../../../components/people/sign-in.ts';
import type { AtTablet } from '../session.ts';

/** Who is it? `again` = the sheet under it is only locked. */
export function signIn(tablet: AtTablet, again: boolean): TemplateResult {
  return html`<main class="sheet"><lb-sign-in
    .door=${tablet.door}
    .again=${again}
    .says=${tablet.offline ? 'No signal: only the server knows the PINs. What was said on this tablet is kept.' : tablet.says}
    @lb-signed-in=${({ person, pin }: SignedIn) => void tablet.signIn(person, pin)}
    @lb-first-made=${(event: FirstMade) => void tablet.makeFirst(event)}
  ></lb-sign-in></main>`;
}
