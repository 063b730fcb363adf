import { describe, expect, test } from 'vitest';
import { lawTraits, type LawFacts } from '../src/vehicle/law.ts';
import { type LawConditions, type MandateRow, MARKETS, VEHICLE_CLASSES } from '../src/vehicle/schema.ts';
import { atMost, type Weight } from '../src/vehicle/weight.ts';
import { mandates } from './vehicle-data.ts';

/** Facts on which a row holds, with nothing to spare. */
function factsFor({ market, from, when }: MandateRow): LawFacts {
  const start: LawFacts = from.built
    ? { builtDate: from.built }
    : from.registered
      ? { registeredDate: from.registered }
      : from.newTypes
        ? { typeApprovedDate: from.newTypes }
        : { modelYear: from.modelYear };
  return { market, ...start, ...meeting(when) };
}

function meeting(when: LawConditions): LawFacts {
  const entries = Object.entries(when).map(([fact, wanted]) => [
    fact,
    Array.isArray(wanted) ? wanted[0] : typeof wanted === 'object' ? wanted.max : wanted,
  ]);
  return Object.fromEntries(entries) as LawFacts;
}

/** A value that fails the condition. */
function failing(fact: string, wanted: unknown): unknown {
  if (typeof wanted === 'boolean') return !wanted;
  if (!Array.isArray(wanted)) return (wanted as { max: number }).max + 1;
  const domain: readonly string[] =
    fact === 'class' ? VEHICLE_CLASSES : fact === 'fuel' ? ['hydrogen'] : ['mild-hybrid'];
  return domain.find((value) => !wanted.includes(value));
}

describe.each(mandates.rows)('law, $id ($source)', (row) => {
  const only = { rows: [row], silent: [], notes: [] };
  const facts = factsFor(row);

  test('is settled when every condition is known and holds', () => {
    const { id, trait, source, basis, caveat = null } = row;
    expect(lawTraits(only, facts)).toEqual({
      settled: [{ trait, has: true, row: id, source, basis, caveat }],
      open: [],
      silent: [],
      notes: [],
    });
  });
  test.each(MARKETS.filter((market) => market !== row.market))(
    'says nothing in %s, unless the market may yet prove right',
    (market) => {
      const { settled, open } = lawTraits(only, { ...facts, market });
      const holds = market.startsWith(`${row.market}-`);
      const mayHold = row.market.startsWith(`${market}-`);
      expect(settled).toHaveLength(holds ? 1 : 0);
      expect(open).toEqual(mayHold ? [{ trait: row.trait, row: row.id, missing: ['market'] }] : []);
    },
  );
  const start = Object.keys(facts).filter((fact) => /Date$|Year$/.test(fact));
  test.each(['market', ...start, ...Object.keys(row.when)])('is open without %s, which it names', (fact) => {
    for (const unknown of [undefined, null]) {
      const { settled, open } = lawTraits(only, { ...facts, [fact]: unknown });
      expect(settled).toEqual([]);
      expect(open).toHaveLength(1);
      const named = fact === 'builtDate' && row.from.modelYear !== undefined ? 'modelYear' : fact;
      expect(open[0]?.missing).toContain(named);
    }
  });
  test.each(Object.entries(row.when))('says nothing where %s fails', (fact, wanted) => {
    expect(lawTraits(only, { ...facts, [fact]: failing(fact, wanted) })).toMatchObject({ settled: [], open: [] });
  });
  test('its safe model year is the first with no vehicle built before the date (40 CFR 85.2304)', () => {
    const { built, modelYear } = row.from;
    // Model year N may begin on 2 January of N - 1: the first that begins after the date is two years on.
    if (built && modelYear) expect(modelYear).toBe(Number(built.slice(0, 4)) + 2);
  });
});

describe('law, dates and brackets', () => {
  const tyres = (facts: LawFacts) => {
    const { settled, open } = lawTraits(mandates, { market: 'US', class: 'car', gvwrKg: 2000, ...facts });
    const of = (list: readonly { trait: string }[]) => list.filter(({ trait }) => trait === 'tyre-pressure-warning');
    return of(settled).length > 0 ? 'has' : ((of(open)[0] as { missing: string[] } | undefined)?.missing ?? 'nothing');
  };
  const cases: [why: string, facts: LawFacts, result: string | string[]][] = [
    ['model year 2009 is built after the date', { modelYear: 2009 }, 'has'],
    ['model year 2008 may be either side', { modelYear: 2008 }, ['builtDate']],
    ['model year 2007 may be built to the end of 2007', { modelYear: 2007 }, ['builtDate']],
    ['model year 2006 ended before', { modelYear: 2006 }, 'nothing'],
    ['both rounds of a VIN still possible', { modelYear: [1995, 2025] }, ['modelYear']],
    ['both possible years are late enough', { modelYear: [2010, 2011] }, 'has'],
    ['the build date overrules the model year', { modelYear: 2008, builtDate: '2007-09-01' }, 'has'],
    ['built the day before', { modelYear: 2008, builtDate: '2007-08-31' }, 'nothing'],
    ['registered before the date, so built before it', { registeredDate: '2007-08-31' }, 'nothing'],
    ['registered after proves nothing', { registeredDate: '2007-10-01' }, ['modelYear']],
    ['bracket within the limit', { modelYear: 2010, gvwrKg: { max: 4536 } }, 'has'],
    ['bracket across the limit', { modelYear: 2010, gvwrKg: { min: 3856 } }, ['gvwrKg']],
    ['bracket beyond the limit', { modelYear: 2010, gvwrKg: { min: 4536 } }, 'nothing'],
    [
      'all classes still possible are in one row',
      { modelYear: 2011, class: ['mpv', 'truck'], dualRearWheels: false },
      'has',
    ],
    [
      'classes still possible fall under different rows',
      { modelYear: 2011, class: ['car', 'mpv'], dualRearWheels: false },
      ['class'],
    ],
    ['some class still possible is out', { modelYear: 2011, class: ['car', 'trailer'] }, ['class']],
  ];
  test.each(cases)('%s', (_why, facts, result) => {
    expect(tyres(facts)).toEqual(result);
  });

  /** One row with the given start and no other condition. */
  const since = (from: MandateRow['from'], facts: LawFacts) => {
    const row: MandateRow = { id: 'r', market: 'EU', trait: 't', from, when: {}, source: 's', basis: 'read' };
    const { settled, open } = lawTraits({ rows: [row], silent: [], notes: [] }, { market: 'EU', ...facts });
    return settled.length > 0 ? 'has' : (open[0]?.missing ?? 'nothing');
  };
  const both = { registered: '2014-11-01', newTypes: '2011-11-01' };
  const starts: [why: string, from: MandateRow['from'], facts: LawFacts, result: string | string[]][] = [
    ['built in the year itself', { modelYear: 1996 }, { builtDate: '1996-01-01' }, 'has'],
    ['built the year before, of either model year', { modelYear: 1996 }, { builtDate: '1995-12-31' }, ['modelYear']],
    ['built two years before', { modelYear: 1996 }, { builtDate: '1994-12-31' }, 'nothing'],
    ['the model year overrules the bound', { modelYear: 1996 }, { builtDate: '1995-12-31', modelYear: 1996 }, 'has'],
    ['nothing known', both, {}, ['registeredDate', 'typeApprovedDate']],
    ['built on the day, so registered no earlier', both, { builtDate: '2014-11-01' }, 'has'],
    [
      'built the day before, registered who knows',
      both,
      { builtDate: '2014-10-31' },
      ['registeredDate', 'typeApprovedDate'],
    ],
    ['registered between the dates', both, { registeredDate: '2014-10-31' }, ['typeApprovedDate']],
    ['built before any new type', both, { registeredDate: '2012-01-01', builtDate: '2011-10-31' }, 'nothing'],
    ['registered on the day of new types', both, { registeredDate: '2011-11-01' }, ['typeApprovedDate']],
    ['registered before any new type', both, { registeredDate: '2011-10-31' }, 'nothing'],
    [
      'registered on the day itself may be built on it',
      { built: '2020-01-01' },
      { registeredDate: '2020-01-01' },
      ['builtDate'],
    ],
    ['registered the day before', { built: '2020-01-01' }, { registeredDate: '2019-12-31' }, 'nothing'],
    [
      'a model year tells nothing where no safe one is given',
      { built: '2020-01-01' },
      { modelYear: 2030 },
      ['builtDate'],
    ],
  ];
  test.each(starts)('%s', (_why, from, facts, result) => {
    expect(since(from, facts)).toEqual(result);
  });

  test('a date in another form is refused', () => {
    expect(() => tyres({ builtDate: '09/2007' })).toThrow('builtDate is no date: `09/2007`; write it as 2011-09-01');
  });
  const weights: [Weight | null, boolean | undefined][] = [
    [4536, true],
    [4537, false],
    [{ max: 4536 }, true],
    [{ min: 4536 }, false],
    [{ min: 3856, max: 4536 }, true],
    [{ min: 3856, max: 6351 }, undefined],
    [{}, undefined],
    [null, undefined],
  ];
  test.each(weights)('%j at most 4536: %s', (weight, holds) => {
    expect(atMost(weight, 4536)).toBe(holds);
  });
});

test('a trait that one row settles is no longer open for another', () => {
  const facts: LawFacts = { market: 'US', class: 'mpv', gvwrKg: 2000, modelYear: 2014 };
  const { settled, open } = lawTraits(mandates, facts);
  expect(settled.map(({ trait, row }) => [trait, row])).toContainEqual([
    'stability-control',
    'us-stability-control-all',
  ]);
  expect(open.map(({ trait }) => trait)).not.toContain('stability-control');
  expect(open.map(({ row, missing }) => [row, missing])).toContainEqual([
    'us-tyre-pressure-warning-all',
    ['dualRearWheels'],
  ]);
});

test('of two rows that settle a trait the one that was read speaks', () => {
  const row = { market: 'JP', trait: 't', from: { modelYear: 2000 }, when: {}, source: 's' } as const;
  const rows: MandateRow[] = [
    { ...row, id: 'a', basis: 'memory' },
    { ...row, id: 'c', basis: 'read' },
    { ...row, id: 'b', basis: 'read' },
  ];
  const { settled } = lawTraits({ rows, silent: [], notes: [] }, { market: 'JP', modelYear: 2000 });
  expect(settled).toMatchObject([{ row: 'b', basis: 'read' }]);
});

test('where the law is silent it is said, and only there', () => {
  const silent = (facts: LawFacts) => lawTraits(mandates, facts).silent.map(({ id }) => id);
  expect(silent({ market: 'CA' })).toEqual(['ca-tyre-pressure-warning']);
  expect(silent({ market: 'JP' })).toEqual([]);
  expect(silent({})).toEqual([]);
  const late: LawFacts = { market: 'US', modelYear: 2033, class: 'car', gvwrKg: 2000 };
  expect(silent(late)).not.toContain('us-emergency-braking-before-law');
  expect(lawTraits(mandates, { market: 'EU' }).notes).toHaveLength(1);
});

test('ids of rows are unlike', () => {
  const ids = [...mandates.rows, ...mandates.silent].map(({ id }) => id);
  expect(new Set(ids).size).toBe(ids.length);
});
