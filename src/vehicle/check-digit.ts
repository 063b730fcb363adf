/** The 33 characters of a VIN: no I, O or Q (49 CFR 565.13(g)). */
export const VIN_CHARACTERS = 'ABCDEFGHJKLMNPRSTUVWXYZ0123456789';
export const VIN_LENGTH = 17;

// 49 CFR 565.15(c), Table III
// biome-ignore format: the table as the rule prints it
const VALUES: Readonly<Record<string, number>> = {
  A: 1, B: 2, C: 3, D: 4, E: 5, F: 6, G: 7, H: 8,
  J: 1, K: 2, L: 3, M: 4, N: 5, P: 7, R: 9,
  S: 2, T: 3, U: 4, V: 5, W: 6, X: 7, Y: 8, Z: 9,
};
// 49 CFR 565.15(c), Table IV: weight of positions 1 to 17; position 9 is the check digit itself
const WEIGHTS = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2] as const;

export interface CheckDigit {
  /** 0 to 9 or X, from the other sixteen characters. */
  readonly expected: string;
  /** What stands in position 9. */
  readonly found: string;
  readonly agrees: boolean;
}

/**
 * Check digit of 49 CFR 565.15(c), Tables III to VI; GB 16735-2019 Annex A has the same arithmetic.
 * Letters of one value (A, J and 1; B, K, S and 2; ...) stand in for each other unnoticed.
 * @param vin 17 characters out of `VIN_CHARACTERS`; anything else throws a RangeError
 */
export function checkDigit(vin: string): CheckDigit {
  const remainder = weightedSum(vin) % 11;
  const expected = remainder === 10 ? 'X' : String(remainder);
  const found = vin.charAt(8);
  return { expected, found, agrees: found === expected };
}

/** Sum of value times weight over the positions, before the division by 11. */
export function weightedSum(vin: string): number {
  if (vin.length !== VIN_LENGTH) throw new RangeError(`a VIN has 17 characters, \`${vin}\` has ${vin.length}`);
  return WEIGHTS.reduce<number>((sum, weight, i) => sum + weight * valueOf(vin.charAt(i), i), 0);
}

function valueOf(character: string, index: number): number {
  if (!VIN_CHARACTERS.includes(character))
    throw new RangeError(`\`${character}\` in position ${index + 1} is no character of a VIN`);
  return VALUES[character] ?? Number(character);
}
