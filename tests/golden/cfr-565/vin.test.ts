import { describe, expect, test } from 'vitest';
import { checkDigit, VIN_CHARACTERS, VIN_LENGTH, weightedSum } from '../../../src/vehicle/check-digit.ts';
import { makerCode, readMaker } from '../../../src/vehicle/maker.ts';
import { modelYears } from '../../../src/vehicle/model-year.ts';
import type { Market, VehicleClass } from '../../../src/vehicle/schema.ts';
import { readVin } from '../../../src/vehicle/vin.ts';
import { makers } from '../../vehicle-data.ts';
import golden from './vin.json' with { type: 'json' };

const texts = (findings: readonly { text: string }[]) => findings.map(({ text }) => text);

describe(`length and alphabet: ${golden.length.source}, ${golden.alphabet.source}`, () => {
  test('are the rule’s', () => {
    expect(VIN_LENGTH).toBe(golden.length.is);
    expect(Array.from(VIN_CHARACTERS).sort()).toEqual(Array.from(golden.alphabet.allowed).sort());
  });
  test.each(golden.length.refused)('$in is refused: $why', ({ in: text }) => {
    const reading = readVin(text, { makers, market: 'EU' });
    expect(reading.vin).toBeNull();
    expect(texts(reading.faults)).toEqual([
      `a VIN has 17 characters, \`${text}\` has 16: 1 missing (49 CFR 565.13(b))`,
    ]);
  });
  test.each(golden.alphabet.refused)('$in is refused at position $position', ({ in: text, position, character }) => {
    const { vin, faults } = readVin(text, { makers, market: 'EU' });
    expect(vin).toBeNull();
    expect(faults).toEqual([
      {
        about: 'character',
        position,
        text: `\`${character}\` in position ${position}: a VIN has no I, O or Q (49 CFR 565.13(g))`,
      },
    ]);
  });
});

describe(`check digit: ${golden['check-digit'].source}`, () => {
  // The regulation's sample, value times weight:
  // 1G4AH59H 4 5G118341: 8+49+24+5+32+15+18+80 + 0 + 45+56+7+6+40+12+12+2 = 411 = 37 x 11 + 4
  test.each(golden['check-digit'].samples)('$in: sum $sum, digit $expected', ({ in: vin, sum, expected, agrees }) => {
    expect(weightedSum(vin)).toBe(sum);
    expect(checkDigit(vin)).toEqual({ expected, found: vin.charAt(8), agrees });
  });

  const digits = Object.fromEntries(Array.from('0123456789').map((digit) => [digit, Number(digit)]));
  const values: [string, number][] = Object.entries({ ...golden.transliteration.values, ...digits });
  test(`every character in every position weighs as in Tables III and IV`, () => {
    const zeros = '0'.repeat(17);
    for (const [character, value] of values)
      golden.weights['by-position'].forEach((weight, i) => {
        expect(weightedSum(zeros.slice(0, i) + character + zeros.slice(i + 1))).toBe(value * weight);
      });
    expect(values).toHaveLength(33);
  });
});

describe(`model year: ${golden['model-year-codes'].source}`, () => {
  const at10 = (code: string) => `1XXAA11A0${code}1000001`;
  test.each(Object.entries(golden['model-year-codes'].table))('%s is %j', (code, years) => {
    // A motorcycle: position 7 proves nothing there, so both rounds stay.
    expect(modelYears(at10(code), { market: 'US', class: 'motorcycle' }).years).toEqual(years);
    expect((years[1] ?? 0) - (years[0] ?? 0)).toBe(golden['no-repeat'].years);
  });
  test.each(golden['model-year-codes'].unused)('%s is none', (code) => {
    const { years, because } = modelYears(at10(code), { market: 'US', class: 'car' });
    expect(years).toEqual([]);
    expect(because).toBe(`\`${code}\` in position 10 is no model-year code`);
  });
  test.each(golden['position-7'].samples)(`position 7 of $in, a $class: $years`, ({ in: vin, class: kind, years }) => {
    expect(modelYears(vin, { market: 'US', class: kind as VehicleClass }).years).toEqual(years);
  });
  test.each(Object.entries(golden.examples.years))('%s is of %i', (vin, year) => {
    const reading = readVin(vin, { makers, market: 'US', class: 'car' });
    expect(reading.faults).toEqual([]);
    expect(reading.modelYears).toEqual([year]);
  });
});

describe(`where a wrong check digit stops: ${golden.scope.source}`, () => {
  const wrong = '1G4AH59H45G118331';
  test.each(golden.scope['stops-in'] as Market[])('it stops in %s', (market) => {
    const { faults, vin } = readVin(wrong, { makers, market });
    expect(faults.map(({ about, position }) => [about, position])).toEqual([['check-digit', 9]]);
    expect(vin).toBe(wrong);
  });
  test.each(['EU', 'GB', 'JP', 'other', undefined] as const)('it is a remark in %s', (market) => {
    const { faults, remarks } = readVin(wrong, { makers, market });
    expect(faults).toEqual([]);
    expect(remarks[0]).toMatchObject({ about: 'check-digit', position: 9 });
  });
  test.each(golden.scope.samples)('$in: $found for $expected, no year', ({ in: vin, market, expected, found }) => {
    const reading = readVin(vin, { makers, market: market as Market });
    expect(reading.faults).toEqual([]);
    expect(reading.checkDigit).toEqual({ expected, found, agrees: expected === found });
    expect(reading.remarks.some(({ about }) => about === 'check-digit')).toBe(expected !== found);
    expect(reading.modelYears).toEqual([]);
  });
});

describe('maker codes', () => {
  test(`nine in position 3 (${golden['low-volume'].source})`, () => {
    expect(makerCode(golden['low-volume'].in)).toBe(golden['low-volume'].code);
    expect(readMaker(golden['low-volume'].in, makers)).toMatchObject({ code: '1H9814', makers: ['ford'] });
  });
  test.each(Object.entries(golden.regions.first))(
    `first character %s: %s (${golden.regions.source})`,
    (first, region) => {
      expect(readMaker(`${first}AXAA11A0S1000001`, makers).region).toBe(region);
    },
  );
  test.each(Object.entries(golden.regions.codes))('%s belongs to %s', (code, country) => {
    const maker = readMaker(`${code}AA11A0S1000001`, makers);
    expect(maker.country).toBe(country);
    if (code.startsWith('7')) expect(maker.region).toBe('north-america');
  });
});
