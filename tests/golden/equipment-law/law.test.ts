import { expect, test } from 'vitest';
import { lawTraits, type LawFacts } from '../../../src/vehicle/law.ts';
import type { Market } from '../../../src/vehicle/schema.ts';
import { mandates } from '../../vehicle-data.ts';

/**
 * One line a figure of law: on a vehicle that is `now` the law says the trait, on one that is `before` it does not.
 * The basis is that of the outside figure; `memory` figures were not read anywhere.
 */
type Figure = [
  source: string,
  basis: 'read' | 'memory',
  market: Market,
  trait: string,
  car: LawFacts,
  now: LawFacts,
  before: LawFacts,
];

const car: LawFacts = { class: 'car', gvwrKg: 2000 };
const pickUp: LawFacts = { class: 'truck', gvwrKg: 4000, multiStage: false, dualRearWheels: false };
const petrol: LawFacts = { ...car, fuel: 'petrol' };
const diesel: LawFacts = { ...car, fuel: 'diesel' };
const m1: LawFacts = { class: 'm1', gvwrKg: 2000, seats: 5 };
const n1: LawFacts = { class: 'n1', gvwrKg: 3000 };
const year = (modelYear: number): LawFacts => ({ modelYear });
const built = (builtDate: string): LawFacts => ({ builtDate });
const registered = (registeredDate: string, typeApprovedDate = '1999-01-01'): LawFacts => ({
  registeredDate,
  typeApprovedDate,
});
const approved = (typeApprovedDate: string): LawFacts => ({ registeredDate: typeApprovedDate, typeApprovedDate });

// biome-ignore format: a figure a line
const figures: Figure[] = [
  ['13 CCR 1968.1', 'read', 'US', 'obd2', petrol, year(1996), year(1995)],
  ['13 CCR 1968.1', 'read', 'US', 'obd2', diesel, year(1997), year(1996)],
  ['13 CCR 1968.1', 'read', 'US-CA', 'obd2', { ...petrol, class: 'truck', gvwrKg: 6000 }, year(1996), year(1995)],
  ['13 CCR 1968.2(g)(3)', 'memory', 'US', 'can-obd', petrol, year(2008), year(2007)],
  ['13 CCR 1968.2', 'memory', 'US-CA', 'permanent-codes', petrol, year(2012), year(2011)],
  ['49 CFR 571.138', 'read', 'US', 'tyre-pressure-warning', car, built('2007-09-01'), built('2007-08-31')],
  ['49 CFR 571.138', 'read', 'US', 'tyre-pressure-warning', pickUp, year(2009), year(2008)],
  ['49 CFR 571.138 S4.4', 'memory', 'US', 'tyre-pressure-fault-lamp', car, built('2007-09-01'), built('2007-08-31')],
  ['49 CFR 571.126 S3, S8', 'read', 'US', 'stability-control', car, built('2011-09-01'), built('2011-08-31')],
  ['49 CFR 571.126 S3, S8', 'read', 'US', 'stability-control', pickUp, year(2013), year(2012)],
  ['49 CFR 571.126 S4, definition of ESC system (4)', 'read', 'US', 'steering-angle-sensing', car, year(2013), year(2012)],
  ['49 CFR 571.126 S4, definition of ESC system (3)', 'read', 'US', 'yaw-rate-sensing', car, year(2013), year(2012)],
  ['FMVSS 208', 'read', 'US', 'advanced-front-airbags', { ...car, unloadedKg: 1500, multiStage: false }, built('2006-09-01'), built('2006-08-31')],
  ['49 CFR 571.111', 'read', 'US', 'backing-camera', car, built('2018-05-01'), built('2018-04-30')],
  ['49 CFR 571.111', 'read', 'US', 'backing-camera', pickUp, year(2020), year(2019)],
  ['49 CFR 571.127', 'read', 'US', 'emergency-braking', { ...car, multiStage: false, smallVolume: false }, built('2029-09-01'), built('2029-08-31')],
  ['49 CFR 571.127', 'read', 'US', 'pedestrian-emergency-braking', { ...car, smallVolume: true }, built('2030-09-01'), built('2030-08-31')],
  ['49 CFR 571.141', 'read', 'US', 'pedestrian-sound', { ...car, propulsion: 'hybrid' }, built('2021-03-01'), built('2021-02-28')],
  ['89 FR 104318', 'read', 'US', 'high-voltage-safety-305a', { ...car, propulsion: 'electric' }, built('2027-09-01'), built('2027-08-31')],
  ['CMVSS 126', 'read', 'CA', 'stability-control', car, built('2011-09-01'), built('2011-08-31')],
  ['CMVSS 111', 'read', 'CA', 'backing-camera', car, year(2021), year(2020)],
  ['CMVSS 114', 'memory', 'CA', 'immobiliser', car, built('2007-09-01'), built('2007-08-31')],
  ['On-Road Vehicle and Engine Emission Regulations', 'memory', 'CA', 'obd2', petrol, year(1998), year(1997)],
  ['CMVSS 108', 'memory', 'CA', 'daytime-running-lamps', car, built('1989-12-01'), built('1989-11-30')],
  ['Directive 70/220/EEC', 'memory', 'EU', 'obd2', { ...m1, fuel: 'petrol' }, registered('2001-01-01'), registered('2000-12-31')],
  ['Directive 98/69/EC', 'read', 'EU', 'obd2', { ...m1, fuel: 'diesel' }, registered('2004-01-01'), registered('2003-12-31')],
  ['Regulation (EC) 661/2009', 'memory', 'EU', 'stability-control', m1, registered('2014-11-01'), registered('2014-10-31')],
  ['Regulation (EC) 661/2009', 'memory', 'EU', 'stability-control', n1, approved('2011-11-01'), approved('2011-10-31')],
  ['Regulation (EC) 661/2009', 'memory', 'EU', 'tyre-pressure-warning', m1, approved('2012-11-01'), approved('2012-10-31')],
  ['Regulation (EU) 2019/2144, Annex II, row C13', 'read', 'EU', 'tyre-pressure-warning', n1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row C9', 'read', 'EU', 'emergency-braking', m1, approved('2022-07-06'), approved('2022-07-05')],
  ['Regulation (EU) 2019/2144, Annex II, row B4', 'read', 'EU', 'pedestrian-emergency-braking', n1, registered('2026-07-07'), registered('2026-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row C3', 'read', 'EU', 'lane-keeping', { ...m1, hydraulicSteering: false }, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row C3', 'read', 'EU', 'lane-keeping', { ...m1, hydraulicSteering: true }, registered('2026-07-07'), registered('2026-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row D8', 'read', 'EU', 'speed-limit-assistance', m1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row E2', 'read', 'EU', 'driver-attention-warning', m1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row E3', 'read', 'EU', 'driver-distraction-warning', m1, registered('2026-07-07'), registered('2026-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row B7', 'read', 'EU', 'reversing-detection', m1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row E5', 'read', 'EU', 'event-data-recorder', m1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row D16', 'read', 'EU', 'emergency-stop-signal', m1, registered('2024-07-07'), registered('2024-07-06')],
  ['Regulation (EU) 2019/2144, Annex II, row D4', 'read', 'EU', 'cyber-security-approval', m1, registered('2024-07-07'), registered('2024-07-06')],
  // New types only: a car of an older type registered later proves nothing.
  ['Regulation (EU) 2015/758', 'read', 'EU', 'emergency-call', m1, approved('2018-03-31'), registered('2020-01-01', '2018-03-30')],
  ['Regulation (EC) 661/2009 as kept', 'memory', 'GB', 'stability-control', m1, registered('2014-11-01'), registered('2014-10-31')],
  ['Regulation (EC) 661/2009 as kept', 'memory', 'GB', 'tyre-pressure-warning', m1, registered('2014-11-01'), registered('2014-10-31')],
  ['Japanese transport ministry', 'read', 'JP', 'emergency-braking', { ...car, imported: false }, { ...built('2025-12-01'), typeApprovedDate: '2019-01-01' }, { ...built('2025-11-30'), typeApprovedDate: '2019-01-01' }],
  ['Japanese safety standards', 'memory', 'JP', 'stability-control', { ...car, kei: false }, { ...built('2014-10-01'), typeApprovedDate: '2010-01-01' }, { ...built('2014-09-30'), typeApprovedDate: '2010-01-01' }],
  ['Japanese safety standards', 'memory', 'JP', 'stability-control', { ...car, kei: true }, built('2018-02-01'), built('2018-01-31')],
  ['GB 26149-2017', 'memory', 'CN', 'tyre-pressure-warning', m1, { ...built('2020-01-01'), typeApprovedDate: '2018-01-01' }, { ...built('2019-12-31'), typeApprovedDate: '2018-01-01' }],
];

test.each(figures)('%s (%s), %s: %s', (source, basis, market, trait, vehicle, now, before) => {
  const found = lawTraits(mandates, { market, ...vehicle, ...now }).settled.find((settled) => settled.trait === trait);
  expect(found).toMatchObject({ trait, has: true, basis });
  expect(found?.source).toContain(source);
  const earlier = lawTraits(mandates, { market, ...vehicle, ...before });
  expect(earlier.settled.map((settled) => settled.trait)).not.toContain(trait);
});

test('every trait that the table settles in a market is held against a figure', () => {
  const held = new Set(figures.map(([, , market, trait]) => `${market} ${trait}`));
  const told = new Set(mandates.rows.map(({ market, trait }) => `${market} ${trait}`));
  // The same acts bound Great Britain: held by the lines for the EU.
  expect([...told].filter((pair) => !held.has(pair))).toEqual(['GB obd2']);
});
