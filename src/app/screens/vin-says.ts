import { html, nothing, type TemplateResult } from 'lit';
import { sentence } from '../../../components/sheet/time.ts';
import type { LawReading } from '../../vehicle/law.ts';
import type { VinReading } from '../../vehicle/vin.ts';
import type { Book } from '../book.ts';

/** What VIN and law tell, beside the boxes. */
export function vinSays(vin: VinReading | undefined, law: LawReading, book: Book): TemplateResult {
  const settled = law.settled.map(({ trait }) => book.rulebook.traits.get(trait)?.title).filter((title) => title !== undefined);
  const byLaw = settled.length > 0 ? html`<p>There by law: ${settled.join(', ').toLowerCase()}.</p>` : nothing;
  if (!vin) return html`<p class="soft">Type it, or hold the scanner to the plate.</p>${byLaw}`;
  if (vin.faults.length > 0) return html`${vin.faults.map(({ text }) => html`<p><b>${sentence(text)}</b></p>`)}${suggested(vin)}${byLaw}`;
  return html`<p>${readOff(vin, book)}</p>${vin.remarks.map(({ text }) => html`<p class="soft">${sentence(text)}</p>`)}${byLaw}`;
}

/** Places (1 to 17) to look at again. */
export function wrongPlaces(vin: VinReading | undefined): number[] {
  return (vin?.faults ?? []).flatMap(({ position }) => (position === null ? [] : [position]));
}

function readOff({ checkDigit, modelYears, makers, filedClass }: VinReading, book: Book): TemplateResult {
  const names = makers.map((id) => book.makers.makers[id]?.name ?? id);
  const told = [names.join(' or '), modelYears.join(' or '), filedClass].filter(Boolean).join(', ');
  return html`${checkDigit?.agrees ? 'The check figure, ninth place, agrees. ' : ''}<b>${told ? `${told}.` : 'It tells no more of this car.'}</b>`;
}

function suggested({ candidates }: VinReading): TemplateResult | typeof nothing {
  const [first] = candidates;
  return first ? html`<p>Perhaps <span class="pen">${first}</span>.</p>` : nothing;
}
