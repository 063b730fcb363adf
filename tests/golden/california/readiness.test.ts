import { describe, expect, test } from 'vitest';
import type { MonitorId } from '../../../src/scan/monitors.ts';
import { stationVerdict } from '../../../src/scan/station.ts';
import { withOpen } from '../../scan-data.ts';

/**
 * 16 CCR 3340.42.2(c)(5) and the Bureau of Automotive Repair's OBD test reference: petrol 1996 to 1999 any one, petrol
 * and hybrid from 2000 the evaporative system only, diesel 1998 to 2006 none, diesel from 2007 particulate filter and
 * NMHC catalyst only. Read in four reprints of the bureau's table, not on its own page.
 */
// biome-ignore format: a figure a line
const figures: [fuel: 'petrol' | 'diesel' | 'hybrid', modelYear: number, open: MonitorId[], verdict: string, rule: string][] = [
  ['petrol', 1998, ['catalyst'], 'ready', 'any one may be open'],
  ['petrol', 1999, ['catalyst', 'evap'], 'not-ready', 'any one may be open'],
  ['petrol', 2005, ['evap'], 'ready', 'only the fuel vapour system may be open'],
  ['petrol', 2005, ['catalyst'], 'not-ready', 'only the fuel vapour system may be open'],
  ['petrol', 2005, ['evap', 'oxygen-sensor'], 'not-ready', 'only the fuel vapour system may be open'],
  ['petrol', 2000, ['catalyst'], 'not-ready', 'only the fuel vapour system may be open'],
  ['hybrid', 2012, ['evap'], 'ready', 'only the fuel vapour system may be open'],
  ['diesel', 2004, ['egr-vvt'], 'not-ready', 'none may be open'],
  ['diesel', 2004, [], 'ready', 'none may be open'],
  ['diesel', 2012, ['pm-filter', 'nmhc-catalyst'], 'ready', 'only particulate filter and hydrocarbon catalyst may be open'],
  ['diesel', 2012, ['boost'], 'not-ready', 'only particulate filter and hydrocarbon catalyst may be open'],
  ['diesel', 2007, ['pm-filter'], 'ready', 'only particulate filter and hydrocarbon catalyst may be open'],
  ['diesel', 2006, ['pm-filter'], 'not-ready', 'none may be open'],
];

describe('the bureau’s table (16 CCR 3340.42.2(c)(5), read in reprints)', () => {
  test.each(figures)('%s %i with %j open: %s', (fuel, modelYear, open, verdict, rule) => {
    const told = stationVerdict(withOpen(open, {}, fuel === 'diesel' ? 'compression' : 'spark'), {
      place: 'US-CA',
      modelYear,
      fuel,
    });
    expect(told.verdict).toBe(verdict);
    expect(told.because[0]).toContain(rule);
    expect(told.source?.title).toContain('3340.42.2');
    expect(told.doubts).toContain("read in four reprints of the bureau's table, not on the bureau's own page");
  });

  // One reprint of 2015: "2007 - Newer: If 3 or more are incomplete".
  test('what a looser reprint says of diesels is shown as a doubt', () => {
    const told = stationVerdict(withOpen(['boost'], {}, 'compression'), {
      place: 'US-CA',
      modelYear: 2012,
      fuel: 'diesel',
    });
    expect(told.doubts.join()).toContain('fails at three or more');
  });

  test('no figure was read for a diesel before 1998', () => {
    expect(
      stationVerdict(withOpen([], {}, 'compression'), { place: 'US-CA', modelYear: 1997, fuel: 'diesel' }),
    ).toMatchObject({
      verdict: 'ask',
      because: ['ask your station: no figure for a diesel of model year 1997 was read'],
    });
  });
});

// 16 CCR 3340.42.2(c)(3), (4) (read in a copy): lamp commanded on; a code reported.
test('a stored code fails with the lamp off too', () => {
  expect(stationVerdict(withOpen([], { count: 1 }), { place: 'US-CA', modelYear: 2012, fuel: 'petrol' })).toMatchObject(
    {
      verdict: 'fails',
      because: [expect.stringContaining('1 code is stored'), expect.anything()],
    },
  );
});

/**
 * Bureau of Automotive Repair, newsletter spring 2019: from 2019-07-01 a permanent code fails (read). Model year 2010 and
 * the 15 warm-ups come from a news article, the 200 miles from memory: 200 x 1.609344 = 321.9 km.
 */
test.each([
  [2010, { warmUps: 3, km: 50 }, 'fails'],
  [2010, {}, 'fails'],
  [2009, { warmUps: 3, km: 50 }, 'ready'],
  [2010, { warmUps: 15, km: 322 }, 'ready'],
  [2010, { warmUps: 14, km: 322 }, 'fails'],
  [2010, { warmUps: 15, km: 321 }, 'fails'],
])('a permanent code, model year %i, %j since clearing: %s', (modelYear, counters, verdict) => {
  const permanent = { code: 'P0420', kept: ['permanent' as const], module: null, status: null };
  const reading = { ...withOpen([]), counters, codes: [permanent], askedPermanent: true };
  expect(stationVerdict(reading, { place: 'US-CA', modelYear, fuel: 'petrol' }).verdict).toBe(verdict);
});
