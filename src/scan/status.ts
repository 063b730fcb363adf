/** Status byte of a code, ISO 14229-1 Annex D (bit names read in three public implementations; the standard is sold). */
export const STATUS_BITS = [
  { bit: 0, id: 'failing-now', says: 'the last test failed' },
  { bit: 1, id: 'failed-this-trip', says: 'failed on this trip' },
  { bit: 2, id: 'pending', says: 'failed on this trip or the one before, not confirmed by it' },
  { bit: 3, id: 'confirmed', says: 'confirmed and stored' },
  { bit: 4, id: 'untested-since-clear', says: 'not tested since codes were cleared' },
  { bit: 5, id: 'failed-since-clear', says: 'failed at least once since codes were cleared' },
  { bit: 6, id: 'untested-this-trip', says: 'not tested on this trip' },
  { bit: 7, id: 'lamp-asked', says: 'asks for the warning lamp' },
] as const;
export type StatusBit = (typeof STATUS_BITS)[number]['id'];

/** The bits that are set, lowest first. Throws a RangeError for what is no byte. */
export function statusOf(byte: number): StatusBit[] {
  if (!Number.isInteger(byte) || byte < 0 || byte > 255) throw new RangeError(`a status is a byte, not \`${byte}\``);
  return STATUS_BITS.filter(({ bit }) => byte & (1 << bit)).map(({ id }) => id);
}

/** How a report words it. A code may be several at once. */
export const KEPT = ['stored', 'pending', 'permanent', 'history', 'present'] as const;
export type Kept = (typeof KEPT)[number];

/** The plain words for a status byte. One that failed before, is not confirmed and does not fail now has no word. */
export function keptBy(byte: number): Kept[] {
  const bits = statusOf(byte);
  const words: Kept[] = [];
  if (bits.includes('confirmed')) words.push('stored');
  if (bits.includes('pending')) words.push('pending');
  if (bits.includes('failing-now')) words.push('present');
  return words;
}
