/**
 * Warning lamps by the ids of the record. Most are telltales of 49 CFR 571.101, Table 1 (brake, ABS, stability control,
 * air bag, tyre pressure, engine, charge, oil, coolant, belt), from memory; the rest are common practice, no source.
 */
export const LAMP_WORDS: ReadonlyMap<string, string> = new Map([
  ['airbag', 'Airbag'],
  ['brake', 'Brake'],
  ['abs', 'ABS'],
  ['stability', 'Stability control'],
  ['steering', 'Steering'],
  ['tyre-pressure', 'Tyre pressure'],
  ['driver-assistance', 'Driver assistance'],
  ['high-voltage', 'Electric or hybrid drive'],
  ['engine', 'Engine'],
  ['charge', 'Charging'],
  ['oil-pressure', 'Oil pressure'],
  ['coolant', 'Coolant'],
  ['transmission', 'Transmission'],
  ['seat-belt', 'Seat belt'],
  ['lights', 'A light has failed'],
  ['service', 'Service due'],
]);

export function lampText(id: string): string {
  return LAMP_WORDS.get(id) ?? id.replaceAll('-', ' ');
}

/** The id of a lamp by the words that somebody gave it; '' where nothing is left. */
export function lampId(words: string): string {
  return words
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-+|-+$/g, '');
}
