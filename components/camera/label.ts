import { checkDigit, VIN_CHARACTERS } from '../../src/vehicle/check-digit.ts';

/** A code on a label, as it was read. */
export interface Read {
  readonly text: string;
  /** Two-dimensional codes correct themselves; the bars of Code 39 and Code 128 on a label carry nothing against a misread bar. */
  readonly corrects: boolean;
}

export interface LabelVin {
  readonly vin: string;
  readonly agrees: boolean;
  readonly corrects: boolean;
}

const WHOLE = new RegExp(`^[${VIN_CHARACTERS}]{17}$`);

/**
 * The VIN in the text of a code. Labels put an "I" (import) before it, marks of Code 39 around it, or other words
 * beside it; of two different ones the code says nothing.
 */
export function vinIn({ text, corrects }: Read): LabelVin | undefined {
  const words = text.toUpperCase().split(/[^0-9A-Z]+/);
  const vins = words.flatMap((word) => {
    const vin = word.length === 18 && word.startsWith('I') ? word.slice(1) : word;
    return WHOLE.test(vin) ? [vin] : [];
  });
  const [vin] = vins;
  if (vin === undefined || vins.some((other) => other !== vin)) return undefined;
  return { vin, agrees: checkDigit(vin).agrees, corrects };
}

/**
 * So many pictures have to say the same: one where the code corrects itself and the check digit agrees, more where
 * either is missing, for a car built for other countries has none that could agree (49 CFR 565.15(c)).
 */
export function picturesWanted({ agrees, corrects }: LabelVin): number {
  if (agrees) return corrects ? 1 : 2;
  return corrects ? 2 : 3;
}

/** Counts what the pictures say; gives the VIN once enough of them say it. */
export class Sightings {
  private readonly seen = new Map<string, number>();

  add(read: LabelVin): LabelVin | undefined {
    const times = (this.seen.get(read.vin) ?? 0) + 1;
    this.seen.set(read.vin, times);
    return times >= picturesWanted(read) ? read : undefined;
  }
}
