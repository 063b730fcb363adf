import { expect, test } from 'vitest';
import { stationVerdict } from '../../../src/scan/station.ts';
import { withOpen } from '../../scan-data.ts';

/**
 * US Environmental Protection Agency, EPA420-R-01-015 (2001), readiness: a state need not reject for two open tests of
 * model years 1996 to 2000, nor for one from 2001. Read in a maker's service information that quotes the guidance, and
 * in 16 CCR 3340.42.2(b), which used the same limits until subsection (c) applied.
 */
const figures: [modelYear: number, open: number, verdict: string, rule: string][] = [
  [1999, 2, 'ready', 'two may be open for model years 1996 to 2000'],
  [1999, 3, 'not-ready', 'two may be open for model years 1996 to 2000'],
  [2001, 1, 'ready', 'one may be open from model year 2001'],
  [2015, 2, 'not-ready', 'one may be open from model year 2001'],
  // The edges of the two rows.
  [1996, 2, 'ready', 'two may be open for model years 1996 to 2000'],
  [2000, 2, 'ready', 'two may be open for model years 1996 to 2000'],
  [2001, 2, 'not-ready', 'one may be open from model year 2001'],
  [2001, 0, 'ready', 'one may be open from model year 2001'],
];

test.each(figures)('model year %i with %i open: %s (%s)', (modelYear, open, verdict, rule) => {
  const ids = (['catalyst', 'evap', 'egr-vvt'] as const).slice(0, open);
  const told = stationVerdict(withOpen(ids), { place: 'US', modelYear, fuel: 'petrol' });
  expect(told.verdict).toBe(verdict);
  expect(told.because.join()).toContain(rule);
  expect(told.incomplete).toEqual(ids);
  expect(told.source).toMatchObject({ publisher: 'US Environmental Protection Agency', read: 'secondary' });
  expect(told.doubts).toContain('guidance to the states, not a right: check the local programme');
});

// 40 CFR 85.2207(c) (read in a copy): commanded on for one or more codes fails.
test('a lamp commanded on fails, whatever is complete', () => {
  const told = stationVerdict(withOpen([], { mil: true, count: 2 }), { place: 'US', modelYear: 2010, fuel: 'petrol' });
  expect(told.verdict).toBe('fails');
  expect(told.because[0]).toBe('the warning lamp is commanded on (2 codes)');
});
