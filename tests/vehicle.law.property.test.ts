import fc from 'fast-check';
import { expect, test } from 'vitest';
import { lawTraits, type LawFacts } from '../src/vehicle/law.ts';
import { FUELS, MARKETS, PROPULSIONS, VEHICLE_CLASSES } from '../src/vehicle/schema.ts';
import { mandates } from './vehicle-data.ts';

const hold = <T>(property: fc.IProperty<T>, numRuns = 1_000) => fc.assert(property, { seed: 85_2304, numRuns });

const day = fc
  .date({ min: new Date('1988-01-01'), max: new Date('2034-12-31'), noInvalidDate: true })
  .map((date) => date.toISOString().slice(0, 10));

/** A vehicle of which everything is known and fits together: approved, then built, then registered, model year as in 40 CFR 85.2304. */
const vehicle = fc
  .record({
    market: fc.constantFrom(...MARKETS),
    dates: fc.tuple(day, day, day).map((days) => days.sort() as typeof days),
    nextYear: fc.boolean(),
    class: fc.constantFrom(...VEHICLE_CLASSES),
    gvwrKg: fc.integer({ min: 1_200, max: 7_000 }),
    unloadedKg: fc.integer({ min: 800, max: 3_500 }),
    seats: fc.integer({ min: 2, max: 9 }),
    fuel: fc.constantFrom(...FUELS),
    propulsion: fc.constantFrom(...PROPULSIONS),
    dualRearWheels: fc.boolean(),
    multiStage: fc.boolean(),
    smallVolume: fc.boolean(),
    hydraulicSteering: fc.boolean(),
    kei: fc.boolean(),
    imported: fc.boolean(),
  })
  .map(({ dates: [typeApprovedDate, builtDate, registeredDate], nextYear, ...rest }) => {
    // On 1 January the vehicle is of that year: the next model year begins on 2 January at the earliest.
    const next = nextYear && !builtDate.endsWith('-01-01') ? 1 : 0;
    return { ...rest, typeApprovedDate, builtDate, registeredDate, modelYear: Number(builtDate.slice(0, 4)) + next };
  });

const FACTS = [
  'market',
  'modelYear',
  'class',
  'gvwrKg',
  'unloadedKg',
  'seats',
  'fuel',
  'propulsion',
  'dualRearWheels',
  'multiStage',
  'smallVolume',
  'hydraulicSteering',
  'kei',
  'imported',
  'typeApprovedDate',
  'builtDate',
  'registeredDate',
] as const;
const hidden = fc.subarray([...FACTS]);

function without(facts: LawFacts, names: readonly string[]): LawFacts {
  return Object.fromEntries(Object.entries(facts).filter(([name]) => !names.includes(name))) as LawFacts;
}

const traits = (list: readonly { trait: string }[]) => list.map(({ trait }) => trait);

test('what is settled on part of the facts stays settled on all of them', () => {
  hold(
    fc.property(vehicle, hidden, (facts, names) => {
      const all = traits(lawTraits(mandates, facts).settled);
      const part = traits(lawTraits(mandates, without(facts, names)).settled);
      expect(all).toEqual(expect.arrayContaining(part));
    }),
  );
});

test('what all the facts settle was settled or open on any part of them', () => {
  hold(
    fc.property(vehicle, hidden, (facts, names) => {
      const part = lawTraits(mandates, without(facts, names));
      const possible = [...traits(part.settled), ...traits(part.open)];
      expect(possible).toEqual(expect.arrayContaining(traits(lawTraits(mandates, facts).settled)));
    }),
  );
});

test('nothing is open on a vehicle of which all is known, save whether an American one is Californian', () => {
  hold(
    fc.property(vehicle, (facts) => {
      const { open } = lawTraits(mandates, facts);
      expect(open.flatMap(({ missing }) => missing).filter((fact) => fact !== 'market')).toEqual([]);
      if (facts.market !== 'US') expect(open).toEqual([]);
    }),
  );
});

test('an open row names only facts that are not known', () => {
  hold(
    fc.property(vehicle, hidden, (facts, names) => {
      const asked = lawTraits(mandates, without(facts, names)).open.flatMap(({ missing }) => missing);
      expect(asked.filter((fact) => fact !== 'market' && !names.includes(fact))).toEqual([]);
    }),
  );
});

test('the order of rows is irrelevant', () => {
  const shuffled = fc.shuffledSubarray(mandates.rows, { minLength: mandates.rows.length });
  hold(
    fc.property(vehicle, hidden, shuffled, (facts, names, rows) => {
      const known = without(facts, names);
      expect(lawTraits({ ...mandates, rows }, known)).toEqual(lawTraits(mandates, known));
    }),
    200,
  );
});

test('a list of possible values settles only what each of them settles', () => {
  hold(
    fc.property(vehicle, fc.subarray([...VEHICLE_CLASSES], { minLength: 1 }), (facts, classes) => {
      const together = traits(lawTraits(mandates, { ...facts, class: classes }).settled);
      for (const one of classes)
        expect(traits(lawTraits(mandates, { ...facts, class: one }).settled)).toEqual(expect.arrayContaining(together));
    }),
    300,
  );
});
