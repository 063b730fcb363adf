import { describe, expect, test } from 'vitest';
import type { Asked } from '../src/job/asked.ts';
import { judgeReading, readTyped } from '../src/job/readings.ts';
import { converted, shown, unitNamed } from '../src/job/units.ts';
import type { ReadingValue } from '../src/job/values.ts';

describe('units', () => {
  // Exact by definition (1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 lbf = 1 lb x 9.80665 m/s2, 1 US gal = 231 in3), the
  // rest worked out from these: psi = lbf/in2, lb·ft = lbf x 0.3048 m, qt = gal/4. NIST SP 811, from memory.
  test.each([
    [1, 'in', 'mm', 25.4],
    [100, 'km', 'mi', 62.13711922],
    [1, 'lb', 'kg', 0.45359237],
    [1, 'psi', 'kPa', 6.894757293],
    [2.2, 'bar', 'kPa', 220],
    [1, 'lb·ft', 'N·m', 1.355817948],
    [1, 'qt', 'l', 0.946352946],
    [-40, '°C', '°F', -40],
    [90, '°C', '°F', 194],
    [8, '°C apart', '°F apart', 14.4],
    [14, 'MΩ', 'kΩ', 14_000],
    [1, 'rpm', 'rpm', 1],
  ])('%d %s in %s', (value, from, to, is) => {
    // The library carries psi and lbf to six and seven figures; a gauge shows four.
    expect(Math.abs((converted(value, from, to) ?? Number.NaN) / is - 1)).toBeLessThan(1e-6);
  });

  test.each([
    ['V', 'A'],
    ['°C', '°C apart'],
    ['codes', 'keys'],
    ['kPa', 'codes'],
  ])('%s is never %s', (from, to) => {
    expect(converted(1, from, to)).toBeUndefined();
  });

  test.each([
    ['Nm', 'N·m'],
    ['ft-lb', 'lb·ft'],
    ['degC', '°C'],
    ['º', 'deg'],
    ['PSI', 'psi'],
    ['mV', 'mV'],
    ['furlong', undefined],
  ])('%s is typed for %s', (word, unit) => {
    expect(unitNamed(word)).toBe(unit);
  });

  test.each([
    [230, 'kPa', 'us', '33.4 psi'],
    [120, 'N·m', 'us', '88.5 lb·ft'],
    [12.2, 'V', 'us', '12.2 V'],
    [-2.5, 'deg', 'metric', '−2.5°'],
    [4, 'keys', 'us', '4 keys'],
    [1, 'codes', 'metric', '1 code'],
    [1, 'V', 'metric', '1 V'],
  ] as const)('%d %s in a %s shop', (value, unit, units, text) => {
    expect(shown(value, unit, units)).toBe(text);
  });
});

describe('figures as typed', () => {
  test.each([
    ['13.1', { value: 13.1 }],
    ['13,1', { value: 13.1 }],
    [' −2,5 ', { value: -2.5 }],
    ['+0.4', { value: 0.4 }],
    ['.5', { value: 0.5 }],
    ['32 psi', { value: 32, unit: 'psi' }],
    ['90°C', { value: 90, unit: '°C' }],
    ['0,250', { value: 0.25 }],
    ['1,250', '1,250: 1.250 or 1250? Write it without the comma.'],
    ['twelve', '"twelve" is no figure.'],
    ['', '"" is no figure.'],
    ['12 volz', '"volz" is no unit that is known here.'],
    ['1e3', '"e3" is no unit that is known here.'],
    ['12.7.1', '"12.7.1" is no figure.'],
  ])('%j', (text, is) => {
    expect(readTyped(text)).toEqual(is);
  });
});

describe('judged', () => {
  const asks = (unit: string, ...limits: Asked['limits'][number][]): Asked => ({
    key: 'proof/x/Reading',
    when: 'proof',
    label: 'Reading',
    answer: 'number',
    unit,
    choices: [],
    limits,
    limitText: [],
    must: true,
  });
  const number = (value: number, more: object = {}): ReadingValue => ({ kind: 'number', value, ...more });

  test.each<[string, Asked, ReadingValue, string, (number | string | undefined)[]]>([
    ['a point moved', asks('V', { min: 12, max: 16 }), number(131), 'fails', [13.1, 'V']],
    ['a point moved twice', asks('V', { min: 12, max: 16 }), number(1310), 'fails', [13.1, 'V']],
    ['past an open limit, and far off it', asks('V', { min: 12.9 }), number(131), 'doubted', [13.1, 'V']],
    ['past an open limit, as it may be', asks('V', { min: 10 }), number(14.4), 'passes', []],
    ['an insulation many times its least', asks('MΩ', { min: 14 }), number(550), 'passes', []],
    ['the sign', asks('deg', { min: 1, max: 2 }), number(-1.5), 'fails', [1.5, 'deg']],
    ['psi for bar', asks('bar', { min: 2, max: 2.6 }), number(33), 'fails', [33, 'psi']],
    ['fahrenheit', asks('°C', { min: 70, max: 95 }), number(190), 'fails', [190, '°F']],
    ['ampere for milliampere', asks('mA', { max: 50 }), number(0.032), 'doubted', [0.032, 'A']],
    ['just out', asks('deg', { min: -2.5, max: 2.5 }), number(2.6), 'fails', []],
    ['on the limit', asks('deg', { min: -2.5, max: 2.5 }), number(2.5), 'passes', []],
    ['told in another unit', asks('kPa', { min: 200, max: 260 }), number(33, { unit: 'psi' }), 'passes', []],
    ['two limits at once', asks('mm', { min: 1 }, { max: 2 }), number(3), 'fails', []],
    ['no limit to judge by', asks('mm'), number(3000), 'passes', []],
  ])('%s', (_, asked, value, verdict, first) => {
    const judged = judgeReading(asked, value, 'metric');
    expect(judged.verdict, judged.text).toBe(verdict);
    const wanted = first.length > 0 ? { value: first[0], unit: first[1] } : undefined;
    if (wanted) expect(judged.perhaps).toContainEqual(wanted);
    else expect(judged.perhaps).toEqual([]);
  });
});
