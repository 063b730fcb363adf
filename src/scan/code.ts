/** Two bytes to trouble code and back: SAE J2012 / ISO 15031-6, format structure. */

const SYSTEMS = ['P', 'C', 'B', 'U'] as const;
export type SystemLetter = (typeof SYSTEMS)[number];

/** A code as J2012 writes it: system letter, digit 0 to 3, three hex digits; `P0507`. */
export const CODE = /^[PCBU][0-3][0-9A-F]{3}$/;
/** With or without the failure type of the third byte; `C0529-54`. */
export const CODE_WITH_TYPE = /^([PCBU][0-3][0-9A-F]{3})(?:-([0-9A-F]{2}))?$/;

export interface TroubleCode {
  /** `C0529` */
  readonly base: string;
  /** Third byte as two hex digits; null where none was given. */
  readonly failureType: string | null;
}

/** Code of two bytes as one number, 0 to 65,535. 0 is `P0000`, which fills up a reply and is no fault. */
export function codeOf(number: number): string {
  if (!Number.isInteger(number) || number < 0 || number > 0xffff)
    throw new RangeError(`a trouble code is a number from 0 to 65535, not \`${number}\``);
  const letter = SYSTEMS[number >> 14] as SystemLetter;
  return letter + ((number >> 12) & 3) + (number & 0xfff).toString(16).toUpperCase().padStart(3, '0');
}

/** The number behind a code; throws a RangeError for anything that is none. */
export function numberOf(code: string): number {
  if (!CODE.test(code)) throw new RangeError(`\`${code}\` is no trouble code: P, C, B or U, 0 to 3, three hex digits`);
  return (SYSTEMS.indexOf(code.charAt(0) as SystemLetter) << 14) | Number.parseInt(code.slice(1), 16);
}

/** Reads `P0507` and `C0529-54`, capitals only; null for anything else. `findCodes` reads what people type. */
export function readCode(text: string): TroubleCode | null {
  const match = CODE_WITH_TYPE.exec(text);
  return match ? { base: match[1] as string, failureType: match[2] ?? null } : null;
}

export function formatCode({ base, failureType }: TroubleCode): string {
  return failureType === null ? base : `${base}-${failureType}`;
}

export type Owner = 'standard' | 'maker' | 'reserved' | 'mixed';

/**
 * Who gives a code its meaning (SAE J2012 DEC2007, 5.2 to 5.5). B and C ranges were read in its contents; P and U ranges
 * are from memory, and later editions move some of P1 and U2.
 */
export function ownerOf(code: string): Owner {
  const system = code.charAt(0);
  const digit = code.charAt(1);
  if (digit === '0') return 'standard';
  if (system === 'P') {
    if (digit === '2') return 'standard';
    return digit === '3' && /[4-9]/.test(code.charAt(2))
      ? 'standard'
      : digit === '3' && code.charAt(2) > '9'
        ? 'reserved'
        : 'maker';
  }
  if (digit !== '3') return 'maker';
  return system === 'U' ? 'mixed' : 'reserved';
}
