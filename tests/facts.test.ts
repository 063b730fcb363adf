import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readFacts } from '../src/resolve/facts.ts';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { mustRead } from './real-rulebook.ts';
import { filesOf, on } from './small-rulebook.ts';

const table = (name: string) => readFileSync(new URL(`../rules/${name}`, import.meta.url), 'utf8');
const files = filesOf({
  traits: {
    'stability-control': ['none', 'fitted'],
    'forward-camera': ['none', 'target', 'road'],
    doors: ['two', 'four'],
    mileage: { number: { integer: true, min: 0, max: 999_999 } },
  },
  parts: { disc: { at: ['front-left', 'rear-left'], did: ['replaced', 'inspected'] }, 'throttle-body': {} },
  states: { pressures: { start: 'confirm' } },
  rules: { learn: { triggers: [on('throttle-body replaced')], needs: [{ state: 'pressures' }] } },
});
const { rulebook } = loadRulebook(
  new Map([...files, ['makers.json', table('makers.json')], ['mandates.json', table('mandates.json')]]),
);
const read = (more: object) => readFacts({ ro: '1', work: [], ...more }, rulebook, 'job.json');
const full = (more: object) => mustRead({ ro: '1', work: [], ...more }).car;
const said = (more: object) => read(more).faults.map(printFault);

describe('what a job may say of a trait', () => {
  const cases: [unknown, unknown][] = [
    ['fitted', { values: ['fitted'], by: 'told' }],
    [true, { values: ['fitted'], by: 'told' }],
    [false, { values: ['none'], by: 'told' }],
    [null, { by: 'looked' }],
    [['none', 'fitted'], { values: ['none', 'fitted'], by: 'told' }],
    [
      { value: 'fitted', by: 'scan' },
      { values: ['fitted'], by: 'scan' },
    ],
    [{ value: null, by: 'looked' }, { by: 'looked' }],
  ];
  test.each(cases)('%j', (answer, known) => {
    expect(read({ vehicle: { traits: { 'stability-control': answer } } }).facts?.car.get('stability-control')).toEqual(
      known,
    );
  });
  test('true leaves every kind possible', () => {
    expect(read({ vehicle: { traits: { 'forward-camera': true } } }).facts?.car.get('forward-camera')?.values).toEqual([
      'target',
      'road',
    ]);
  });
});

describe('what the VIN and the law say', () => {
  // 49 CFR 565.15 check digit; the serial number is invented.
  const vin = '1HGCM82633A004352';
  test('maker and model year from a sound VIN, if nobody told them', () => {
    const car = read({ vehicle: { vin, market: 'us', class: 'car' } }).facts?.car;
    expect(car?.get('maker')).toEqual({ values: ['honda'], by: 'vin' });
    expect(car?.get('model-year')).toEqual({ values: [2003], by: 'vin' });
  });
  test('what was told wins, and the difference is spoken of', () => {
    const facts = read({ vehicle: { vin, market: 'us', class: 'car', modelYear: 2004 } }).facts;
    expect(facts?.car.get('model-year')).toEqual({ values: [2004], by: 'told' });
    expect(facts?.remarks).toContain("VIN says model year 2003, the job says 2004; the job's word is used");
  });
  test('from a VIN with a wrong check digit nothing is taken, and the job goes on', () => {
    const facts = read({ vehicle: { vin: '1HGCM82643A004352', market: 'us' } }).facts;
    expect(facts?.car.has('maker')).toBe(false);
    expect(facts?.remarks.join()).toMatch(/VIN: .*nothing is taken from it/);
  });
  // 49 CFR 571.126 S8: cars from model year 2012 built on or after 2011-09-01, up to 4,536 kg.
  test('the law says has, once every condition of its row is known', () => {
    const car = (more: object) =>
      read({ vehicle: { market: 'us', modelYear: 2016, ...more } }).facts?.car.get('stability-control');
    expect(car({ class: 'car', gvwrKg: 2000 })).toEqual({ values: ['fitted'], by: 'law' });
    expect(car({ class: 'car' })).toBeUndefined();
    expect(car({ class: 'car', gvwrKg: 2000, market: 'jp' })).not.toEqual({
      values: ['fitted'],
      by: 'law',
      market: 'us',
    });
    expect(car({ class: 'car', gvwrKg: 2000, modelYear: 2005 })).toBeUndefined();
  });
  // 40 CFR 86.1806-05; an electric car has no emission self-tests.
  test('what the engine burns is a condition of the law too, once it is told', () => {
    const car = (traits: object, more: object = {}) =>
      full({ vehicle: { market: 'us', modelYear: 2016, class: 'car', gvwrKg: 2000, traits, ...more } }).get('obd2');
    expect(car({ engine: 'petrol' })).toEqual({ values: ['fitted'], by: 'law' });
    expect(car({ engine: ['petrol', 'diesel'] })).toEqual({ values: ['fitted'], by: 'law' });
    expect(car({ engine: 'diesel' }, { modelYear: 1997 })).toEqual({ values: ['fitted'], by: 'law' });
    for (const other of [
      car({}),
      car({ engine: null }),
      car({ engine: 'none' }),
      car({ engine: 'petrol' }, { modelYear: 1990 }),
    ])
      expect(other).toBeUndefined();
  });
  test('what no car of so early a model year has is not asked for, unless somebody found it', () => {
    const gateway = (vehicle: object) => full({ vehicle }).get('secure-gateway');
    expect(gateway({ modelYear: 2015 })).toEqual({ values: ['none'], by: 'year' });
    expect(gateway({ modelYear: 2015, traits: { 'secure-gateway': true } })).toEqual({
      values: ['fitted'],
      by: 'told',
    });
    for (const vehicle of [{ modelYear: 2016 }, {}]) expect(gateway(vehicle)).toBeUndefined();
  });
  test('"none" against the law is used and spoken of', () => {
    const facts = read({
      vehicle: { market: 'us', modelYear: 2016, class: 'car', gvwrKg: 2000, traits: { 'stability-control': 'none' } },
    }).facts;
    expect(facts?.car.get('stability-control')?.values).toEqual(['none']);
    expect(facts?.remarks.join()).toContain('the law gives this car stability-control');
  });
});

describe('bad input is named with place, value, hint and the nearest name', () => {
  const cases: [string, object, string[]][] = [
    [
      'unknown part',
      { work: [{ part: 'throtle-body', did: 'replaced' }] },
      ['job.json#/work/0/part: unknown part: `throtle-body`; did you mean `throttle-body`?'],
    ],
    [
      'unknown action',
      { work: [{ part: 'throttle-body', did: 'replacd' }] },
      [
        'job.json#/work/0/did: is not allowed here: `replacd`; one of inspected, unplugged, refitted, replaced, repaired, adjusted, cleaned, drained, programmed, power-lost; did you mean `replaced`?',
      ],
    ],
    [
      'senseless action',
      { work: [{ part: 'disc', did: 'programmed' }] },
      ['job.json#/work/0/did: makes no sense for `disc`: `programmed`; it can be replaced, inspected'],
    ],
    [
      'unknown position',
      { work: [{ part: 'disc', did: 'replaced', at: 'rear-lft' }] },
      [
        'job.json#/work/0/at: unknown position: `rear-lft`; `disc` can be at front-left, rear-left; did you mean `rear-left`?',
      ],
    ],
    [
      'position of a part that has none',
      { work: [{ part: 'throttle-body', did: 'replaced', at: 'left' }] },
      ['job.json#/work/0/at: unknown position: `left`; there is only one `throttle-body`; leave "at" out'],
    ],
    [
      'unknown trait',
      { vehicle: { traits: { 'stabilty-control': true } } },
      [
        'job.json#/vehicle/traits/stabilty-control: unknown trait: `stabilty-control`; did you mean `stability-control`?',
      ],
    ],
    [
      'trait value outside its domain',
      { vehicle: { traits: { 'forward-camera': 'targt' } } },
      [
        'job.json#/vehicle/traits/forward-camera: is not one of none, target, road for trait `forward-camera`: `targt`; did you mean `target`?',
      ],
    ],
    [
      'has / has not of a trait without none',
      { vehicle: { traits: { doors: true } } },
      ['job.json#/vehicle/traits/doors: trait `doors` is not a matter of has or has not: true; one of two, four'],
    ],
    [
      'number out of range',
      { vehicle: { traits: { mileage: -4 } } },
      ['job.json#/vehicle/traits/mileage: is outside 0 to 999999 for trait `mileage`: -4'],
    ],
    [
      'unknown maker',
      { vehicle: { maker: 'Toyta' } },
      [
        'job.json#/vehicle/maker: unknown maker: `Toyta`; leave it out if it is not in the list: rules of one maker then stay undecided; did you mean `toyota`?',
      ],
    ],
    [
      'unknown question',
      { answers: { 'did:throttle-body/replacd': 'yes' } },
      [
        'job.json#/answers/did:throttle-body~1replacd: answers a question about something unknown: `throttle-body/replacd`; did you mean `throttle-body/replaced`?',
      ],
    ],
    [
      'answer of the wrong kind',
      { answers: { 'holds:pressures': 'maybe' } },
      ['job.json#/answers/holds:pressures: wants yes, no or null: `maybe`'],
    ],
    ['unknown key', { worc: [] }, ['job.json#/worc: unknown key: `worc`; did you mean `work`?']],
    ['missing', { ro: undefined }, ['job.json#/ro: is missing; wants string']],
  ];
  test.each(cases)('%s', (_, more, expected) => expect(said(more)).toEqual(expected));
  test('all at once', () => {
    expect(
      said({
        work: [
          { part: 'a', did: 'replaced' },
          { part: 'b', did: 'replaced' },
        ],
        vehicle: { maker: 'x', traits: { y: 1 } },
      }),
    ).toHaveLength(4);
  });
});
