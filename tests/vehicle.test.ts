import { describe, expect, test } from 'vitest';
import { findMaker, readMaker } from '../src/vehicle/maker.ts';
import { modelYears, type YearFacts } from '../src/vehicle/model-year.ts';
import type { Market } from '../src/vehicle/schema.ts';
import { readVin } from '../src/vehicle/vin.ts';
import { makers } from './vehicle-data.ts';

// 1XXAA11A8S1000001 is made up; its check digit follows 49 CFR 565.15(c).
const GOOD = '1XXAA11A8S1000001';

describe('layout is read past and listed', () => {
  const cases: [typed: string, kind: string, at: number[], found: string][] = [
    ['1xxaa11a8s1000001', 'lower-case', [2, 3, 4, 5, 8, 10], 'xxaaas'],
    ['1XX AA11A8S 1000001', 'blank', [4, 12], '  '],
    ['  1XXAA11A8S1000001\n', 'blank', [1, 2, 20], '  \n'],
    ['1XX-AA11A8-S1000001', 'hyphen', [4, 11], '--'],
    ['1XX–AA11A8S1000001', 'hyphen', [4], '–'],
    ['*1XXAA11A8S1000001*', 'bar-code-mark', [1, 19], '**'],
  ];
  test.each(cases)('%j: %s at %j', (typed, kind, at, found) => {
    const { vin, faults, suggestions } = readVin(typed, { makers, market: 'US' });
    expect(vin).toBe(GOOD);
    expect(faults).toEqual([]);
    expect(suggestions).toEqual([expect.objectContaining({ kind, at, found, applied: true, position: null })]);
  });
  test('a small l is read as L, and said', () => {
    const [suggestion] = readVin('WVWZZZ1KZ8P00000l', { makers, market: 'EU' }).suggestions;
    expect(suggestion).toMatchObject({ instead: ['L'], at: [17] });
    expect(suggestion?.text).toBe(
      'small letters are read as capitals; a small l is read as `L`, see that it is no `1`',
    );
  });
  test('a clean VIN needs nothing', () => {
    expect(readVin(GOOD, { makers, market: 'US' }).suggestions).toEqual([]);
  });
});

describe('forbidden letters are suggested, never replaced', () => {
  const cases: [typed: string, position: number, at: number, found: string, instead: string[], first: string][] = [
    ['IXXAA11A8S1000001', 1, 1, 'I', ['1'], GOOD],
    ['1XXAA1IA8S1000001', 7, 7, 'I', ['1'], GOOD],
    ['1XXAA11A8S1O00001', 12, 12, 'O', ['0'], GOOD],
    ['1XXAA11A8S1000Q01', 15, 15, 'Q', ['0', '9'], GOOD],
    ['1xx-aa1ia8s1000001', 7, 8, 'I', ['1'], GOOD],
  ];
  test.each(cases)('%s: position %i', (typed, position, at, found, instead, first) => {
    const reading = readVin(typed, { makers, market: 'US' });
    expect(reading.vin).toBeNull();
    expect(reading.faults.map((fault) => [fault.about, fault.position])).toEqual([['character', position]]);
    const letter = reading.suggestions.find(({ kind }) => kind === 'letter');
    expect(letter).toMatchObject({ position, at: [at], found, instead, applied: false });
    expect(reading.candidates[0]).toBe(first);
  });
  test('both digits of a Q are offered, the agreeing one first', () => {
    expect(readVin('1XXAA11A8S1000Q01', { makers }).candidates).toEqual([GOOD, '1XXAA11A8S1000901']);
  });
  test('an I before the VIN is suggested to go', () => {
    const { candidates, suggestions } = readVin(`I${GOOD}`, { makers, market: 'US' });
    expect(candidates).toEqual([GOOD]);
    expect(suggestions).toMatchObject([{ kind: 'letter', at: [1], instead: [], applied: false }]);
  });
  test('more readings than 64 are not spelled out', () => {
    const withQs = (count: number) => readVin('Q'.repeat(count) + '1'.repeat(17 - count), { makers }).candidates;
    expect(withQs(6)).toHaveLength(64);
    expect(withQs(7)).toEqual([]);
  });
});

describe('faults say what and where', () => {
  const cases: [typed: string, faults: string[]][] = [
    ['', ['a VIN has 17 characters, `` has 0: 17 missing (49 CFR 565.13(b))']],
    [`${GOOD}7`, ['a VIN has 17 characters, `1XXAA11A8S10000017` has 18: 1 too many (49 CFR 565.13(b))']],
    ['1XXAA11A8S100000É', ['`É` in position 17: a VIN has only capital letters and digits (49 CFR 565.13(g))']],
    ['😀XXAA11A8S1000001', ['`😀` in position 1: a VIN has only capital letters and digits (49 CFR 565.13(g))']],
    ['q'.repeat(40), [`a VIN has 17 characters, \`${'Q'.repeat(25)}...\` has 40: 23 too many (49 CFR 565.13(b))`]],
    [
      '1XXAA11A7S1000001',
      [
        'check digit in position 9 is `7`, the other characters ask for `8`: a character is wrong or two have changed places',
      ],
    ],
  ];
  test.each(cases)('%j', (typed, faults) => {
    expect(readVin(typed, { makers, market: 'US' }).faults.map(({ text }) => text)).toEqual(faults);
  });
  test('single slips that would mend the check digit are suggested', () => {
    const swapped = readVin('1XXAA11A8S0100001', { makers, market: 'US' });
    expect(swapped.suggestions).toContainEqual(
      expect.objectContaining({
        kind: 'swapped',
        position: 11,
        at: [11, 12],
        found: '01',
        instead: ['10'],
        applied: false,
      }),
    );
    const alike = readVin('1XXAA11A851000001', { makers, market: 'US' });
    expect(alike.suggestions).toContainEqual(
      expect.objectContaining({ kind: 'look-alike', position: 10, found: '5', instead: ['S'] }),
    );
    expect(readVin('1XXAA11A851000001', { makers, market: 'EU' }).suggestions).toEqual([]);
    // `B` for the 8 in position 14 would do as well, but the last four of a VIN are digits.
    const { suggestions } = readVin('1G4AH59H45G118331', { makers, market: 'US' });
    expect(suggestions.map(({ position, instead }) => [position, ...instead])).toEqual([
      [11, '6'],
      [12, 'L'],
      [13, '7'],
    ]);
  });
});

describe('model year', () => {
  // Position 7 of the first is a digit, of the second a letter; position 10 is S: 1995 or 2025.
  const [digit, letter] = [GOOD, '1XXAA1AA8S1000001'];
  const cases: [why: string, vin: string, facts: YearFacts, years: number[]][] = [
    ['a car, digit', digit, { market: 'US', class: 'car' }, [1995]],
    ['a car, letter', letter, { market: 'US', class: 'car' }, [2025]],
    ['a car in Canada', letter, { market: 'CA', class: 'car' }, [2025]],
    ['a light truck', letter, { market: 'US', class: 'truck', gvwrKg: 4536 }, [2025]],
    ['a light MPV by its bracket', digit, { market: 'US-CA', class: 'mpv', gvwrKg: { max: 3856 } }, [1995]],
    ['a heavy truck', letter, { market: 'US', class: 'truck', gvwrKg: 4537 }, [1995, 2025]],
    ['a truck of unknown weight', letter, { market: 'US', class: 'truck' }, [1995, 2025]],
    ['a bus', letter, { market: 'US', class: 'bus' }, [1995, 2025]],
    ['a trailer', digit, { market: 'US', class: 'trailer' }, [1995, 2025]],
    ['class unknown', letter, { market: 'US' }, [1995, 2025]],
    ['class unknown, no later than 2024', letter, { market: 'US', latestModelYear: 2024 }, [1995]],
    ['a car said to be of the future', letter, { market: 'US', class: 'car', latestModelYear: 2024 }, []],
    ['China has the codes, not the rule of position 7', letter, { market: 'CN', class: 'm1' }, [1995, 2025]],
    ['a car in China', letter, { market: 'CN', class: 'car' }, [1995, 2025]],
    ['position 10 is free in the EU', letter, { market: 'EU', class: 'm1' }, []],
    ['no market', letter, {}, []],
  ];
  test.each(cases)('%s', (_why, vin, facts, years) => {
    expect(modelYears(vin, facts).years).toEqual(years);
  });
  test('what is undecided says why', () => {
    expect(modelYears(letter, { market: 'US' }).because).toBe(
      '`A` in position 7 says 2025, if this is a passenger car, or an MPV or truck of at most 4536 kg (10,000 lb) GVWR',
    );
    expect(modelYears(letter, { market: 'US', class: 'car', latestModelYear: 2024 }).because).toBe(
      'positions 7 and 10 are `A` and `S` (49 CFR 565.15); 2025 is later than 2024',
    );
  });
  test('the class a maker code is filed under settles it in America only', () => {
    // 5YJ is filed for passenger cars, 7SA for MPVs (vPIC).
    const year = (vin: string, market: Market) => readVin(vin, { makers, market }).modelYears;
    expect(year('5YJAA1AA0S1000001', 'US')).toEqual([2025]);
    expect(year('7SAAA1AA0S1000001', 'US')).toEqual([1995, 2025]);
    expect(year('5YJAA1AA0S1000001', 'CN')).toEqual([1995, 2025]);
  });
});

describe('makers', () => {
  test('one is an answer, several are undecided, none is unknown', () => {
    const read = (code: string) => readMaker(`${code}AA11A0S1000001`, makers);
    expect(read('1HG')).toMatchObject({ makers: ['honda'], basis: 'read', class: 'car' });
    expect(read('1C4').makers).toEqual(['chrysler', 'dodge', 'fiat', 'jeep', 'lancia', 'ram', 'volkswagen']);
    expect(read('VF1')).toMatchObject({ makers: ['renault'], basis: 'memory', class: null, country: 'FR' });
    expect(read('6G1')).toMatchObject({ makers: ['chevrolet', 'holden'], basis: 'memory' });
    expect(read('1XX')).toMatchObject({ code: null, makers: [], basis: null, country: 'US' });
  });
  test('and say so', () => {
    const remarks = (vin: string) => readVin(vin, { makers, market: 'EU' }).remarks.map(({ text }) => text);
    expect(remarks(GOOD)).toContain('maker code `1XX` is not in the list: say who made the vehicle');
    expect(remarks('4GDAA11A0S1000001')).toContain('maker code `4GD` stands for GMC, Opel: say which');
  });
  const names: [typed: string, found: object][] = [
    ['VW', { id: 'volkswagen' }],
    ['mercedes benz', { id: 'mercedes-benz' }],
    ['Citroën', { id: 'citroen' }],
    ['SKODA', { id: 'skoda' }],
    ['toyta', { nearest: 'toyota' }],
    ['hovercraft', { nearest: null }],
    ['', { nearest: null }],
  ];
  test.each(names)('%j is %j', (typed, found) => {
    expect(findMaker(typed, makers)).toEqual(found);
  });
  test('the book holds together', () => {
    for (const [code, { makers: own, also, source }] of Object.entries(makers.codes)) {
      for (const id of [...own, ...also]) expect(makers.makers, `${code} names ${id}`).toHaveProperty([id]);
      expect(makers.sources, code).toHaveProperty([source]);
      expect(code.length === 6, `${code}: six characters and 9 in position 3 go together`).toBe(code.charAt(2) === '9');
    }
    const words = Object.entries(makers.makers).flatMap(([, { name, aka }]) =>
      [name, ...aka].map((word) => word.toLowerCase()),
    );
    expect(new Set(words).size, 'a name stands for one maker').toBe(words.length);
  });
});
