import { html, nothing, type TemplateResult } from 'lit';
import { sentence } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { VinReading } from '../../vehicle/vin.ts';
import type { Planned } from '../plan.ts';

/** What the VIN tells and what the law adds, beside the boxes. */
export function vinSays(vin: VinReading | undefined, { facts, list }: Planned, rulebook: Rulebook): TemplateResult {
  const titles = byLaw(facts, rulebook);
  const law = titles.length > 0 ? html`<p>There by law: ${titles.join(', ').toLowerCase()}.</p>` : nothing;
  const others = (list?.remarks ?? []).filter((remark) => !remark.startsWith('VIN: '));
  const remarks = others.map((text) => html`<p class="soft">${sentence(text)}</p>`);
  if (!vin) return html`<p class="soft">Type it, or hold the scanner to the plate.</p>${law}${remarks}`;
  if (vin.faults.length > 0) return html`${faults(vin)}${suggested(vin)}${law}${remarks}`;
  return html`<p>${readOff(vin, rulebook)}</p>${vin.remarks.map(({ text }) => html`<p class="soft">${penned(sentence(text))}</p>`)}${law}${remarks}`;
}

/** Places (1 to 17) to look at again. */
export function wrongPlaces(vin: VinReading | undefined): number[] {
  return (vin?.faults ?? []).flatMap(({ position }) => (position === null ? [] : [position]));
}

/** Titles of what the law says the car has. */
export function byLaw(facts: Planned['facts'], rulebook: Rulebook): string[] {
  const traits = [...(facts?.car ?? [])].filter(([, { by }]) => by === 'law').map(([trait]) => trait);
  return traits.map((trait) => rulebook.traits.get(trait)?.title ?? trait);
}

/** A VIN still being typed is not yet wrong: only what is left to type is told. */
function faults(vin: VinReading): TemplateResult[] {
  return vin.faults.map(({ about, text }) =>
    about === 'length'
      ? html`<p class="soft">${penned(sentence(text))}</p>`
      : html`<p><b>${penned(sentence(text))}</b></p>`,
  );
}

function readOff({ checkDigit, modelYears, makers, filedClass }: VinReading, rulebook: Rulebook): TemplateResult {
  const names = makers.map((id) => rulebook.makers.get(id) ?? id);
  const told = [names.join(' or '), modelYears.join(' or '), filedClass].filter(Boolean).join(', ');
  return html`${checkDigit?.agrees ? 'The check figure, ninth place, agrees. ' : ''}<b>${told ? `${told}.` : 'It tells no more of this car.'}</b>`;
}

/** What stands between backticks was entered by a person. */
function penned(text: string): (string | TemplateResult)[] {
  return text.split('`').map((part, i) => (i % 2 === 0 ? part : html`<span class="pen">${part}</span>`));
}

function suggested({ candidates }: VinReading): TemplateResult | typeof nothing {
  const [first] = candidates;
  return first ? html`<p>Perhaps <span class="pen">${first}</span>.</p>` : nothing;
}
