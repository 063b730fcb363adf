import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import validator from 'vin-validator';
import { checkDigit, VIN_CHARACTERS, weightedSum } from '../src/vehicle/check-digit.ts';
import { modelYears } from '../src/vehicle/model-year.ts';
import { readVin, type VinReading } from '../src/vehicle/vin.ts';
import { makers } from './vehicle-data.ts';

// The oracle is the package vin-validator 1.0.0, which shares no line and no table with ours.
const SEED = 565;
const RUNS = 10_000;

const ALPHABET = Array.from(VIN_CHARACTERS);
const legal = fc.constantFrom(...ALPHABET);
const text = (length: number) => fc.array(legal, { minLength: length, maxLength: length }).map((all) => all.join(''));
const anyVin = text(17);

/** A VIN whose check digit the oracle found by trying all eleven, not our arithmetic. */
const goodVin = fc.tuple(text(8), text(8)).map(([head, tail]) => {
  const digits = Array.from('0123456789X').filter((digit) => validator.validate(head + digit + tail));
  expect(digits, `one check digit fits ${head}?${tail}`).toHaveLength(1);
  return head + digits[0] + tail;
});

const inUs = (vin: string): VinReading => readVin(vin, { makers, market: 'US' });
const hold = <T>(property: fc.IProperty<T>, numRuns = RUNS) => fc.assert(property, { seed: SEED, numRuns });

describe('check digit against vin-validator', () => {
  test('the digit that the oracle accepts is the one we expect', () => {
    hold(
      fc.property(goodVin, (vin) => {
        expect(checkDigit(vin)).toEqual({ expected: vin.charAt(8), found: vin.charAt(8), agrees: true });
        expect(inUs(vin)).toMatchObject({ vin, faults: [], suggestions: [] });
      }),
    );
  });

  test('any text of legal and forbidden characters is faulted in the US exactly where the oracle refuses it', () => {
    const character = fc.constantFrom(...ALPHABET, ...ALPHABET, 'I', 'O', 'Q', '.');
    const odd = fc.array(character, { minLength: 15, maxLength: 19 }).map((all) => all.join(''));
    hold(
      fc.property(fc.oneof(anyVin, goodVin, odd), (vin) => {
        expect(inUs(vin).faults.length === 0).toBe(validator.validate(vin));
      }),
    );
  });

  test('one wrong character is noticed unless it weighs the same', () => {
    hold(
      fc.property(goodVin, fc.nat(16), legal, (vin, place, character) => {
        const wrong = vin.slice(0, place) + character + vin.slice(place + 1);
        const agrees = validator.validate(wrong);
        expect(inUs(wrong).faults.length === 0).toBe(agrees);
        // 11 is prime and no weight but position 9's is a multiple of it, so only an equal value slips through.
        if (place !== 8) expect(agrees).toBe(weightedSum(wrong) === weightedSum(vin));
      }),
    );
  });
});

describe('round trips', () => {
  test('layout put into a VIN is read past, every place of it listed', () => {
    const noise = fc.array(fc.constantFrom('', '', '', ' ', '-', '\u00a0', '–'), { minLength: 18, maxLength: 18 });
    const cases = fc.array(fc.boolean(), { minLength: 17, maxLength: 17 });
    hold(
      fc.property(goodVin, noise, cases, (vin, gaps, small) => {
        const letters = Array.from(vin).map((c, i) => (small[i] ? c.toLowerCase() : c));
        const typed = gaps.map((gap, i) => gap + (letters[i] ?? '')).join('');
        const reading = inUs(typed);
        const odd = Array.from(typed).flatMap((c, i) => (VIN_CHARACTERS.includes(c) ? [] : [i + 1]));
        expect(reading.vin).toBe(vin);
        expect(reading.suggestions.every(({ applied }) => applied)).toBe(true);
        expect(reading.suggestions.flatMap(({ at }) => at).sort((a, b) => a - b)).toEqual(odd);
      }),
      2_000,
    );
  });

  test('a digit typed as a forbidden letter is never replaced, and comes back as a candidate', () => {
    const as: Record<string, string[]> = { '1': ['I'], '0': ['O', 'Q'], '9': ['Q'] };
    const picks = fc.array(fc.nat(2), { minLength: 17, maxLength: 17 });
    hold(
      fc.property(goodVin, picks, (vin, pick) => {
        const typed = Array.from(vin)
          .map((c, i) => as[c]?.[pick[i] ?? 0] ?? c)
          .join('');
        if (typed === vin) return;
        const { vin: read, candidates, suggestions } = inUs(typed);
        expect(read).toBeNull();
        expect(suggestions.map(({ position }) => position)).toEqual(
          Array.from(typed).flatMap((c, i) => (/[IOQ]/.test(c) ? [i + 1] : [])),
        );
        expect(candidates).toContain(vin);
        const good = candidates.map((candidate) => validator.validate(candidate));
        expect(good, 'agreeing ones first').toEqual([...good].sort((a, b) => Number(b) - Number(a)));
      }),
      2_000,
    );
  });

  test('two neighbours swapped are offered back', () => {
    hold(
      fc.property(goodVin, fc.nat(15), (vin, i) => {
        const wrong = vin.slice(0, i) + vin.charAt(i + 1) + vin.charAt(i) + vin.slice(i + 2);
        if (validator.validate(wrong)) return;
        const mended = inUs(wrong).suggestions.filter(({ kind }) => kind === 'swapped');
        expect(mended).toContainEqual(expect.objectContaining({ position: i + 1, instead: [vin.slice(i, i + 2)] }));
      }),
      2_000,
    );
  });

  test('every suggestion against a wrong check digit gives a VIN that the oracle accepts', () => {
    hold(
      fc.property(anyVin, (vin) => {
        for (const { position, found, instead } of inUs(vin).suggestions) {
          const start = (position ?? 0) - 1;
          expect(vin.slice(start, start + found.length)).toBe(found);
          expect(validator.validate(vin.slice(0, start) + instead[0] + vin.slice(start + found.length))).toBe(true);
        }
      }),
      2_000,
    );
  });

  test('a model year written as 49 CFR 565.15 says is read back on a car', () => {
    const letters = Array.from('ABCDEFGHJKLMNPRSTVWXY123456789');
    hold(
      fc.property(anyVin, fc.integer({ min: 1980, max: 2039 }), fc.nat(9), (vin, year, digit) => {
        const seventh = year < 2010 ? String(digit) : 'ABCDEFGHJK'.charAt(digit);
        const written = `${vin.slice(0, 6)}${seventh}${vin.slice(7, 9)}${letters[(year - 1980) % 30]}${vin.slice(10)}`;
        expect(modelYears(written, { market: 'US', class: 'car' }).years).toEqual([year]);
        expect(modelYears(written, { market: 'US' }).years).toContain(year);
      }),
    );
  });
});
