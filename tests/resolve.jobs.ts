import fc from 'fast-check';
import { type Facts, readFacts } from '../src/resolve/facts.ts';
import { printFault } from '../src/rulebook/fault.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { type Json, names, sometimes, TRAITS, works } from './resolve.rulebooks.ts';

/** A fully known car: every trait and car fact. */
export type Car = Record<string, string | number>;
export const VALUES: Record<string, readonly (string | number)[]> = {
  brake: ['none', 'drum', 'disc'],
  camera: ['none', 'fitted'],
  gears: [0, 3, 4, 5, 6, 9],
  bore: [0, 1, 1.5, 1.75, 2, 3, 4],
  fuel: ['petrol', 'diesel', 'gas', 'hay'],
  maker: ['alba', 'brio', 'corvo'],
  model: ['one', 'two', 'three'],
  'model-year': [2009, 2010, 2011, 2015, 2020, 2021],
};
export const cars: fc.Arbitrary<Car> = fc.record(
  Object.fromEntries(Object.entries(VALUES).map(([name, values]) => [name, fc.constantFrom(...values)])),
);

/** A job on `car` as far as `seen` goes: per name nothing, "can't tell", a list with the truth in it, or the truth. */
export interface Job {
  readonly work: readonly Json[];
  readonly codes: readonly string[];
  readonly done: boolean;
  readonly answers: Record<string, unknown>;
  readonly tools?: readonly string[];
  readonly car: Car;
  readonly seen: Record<string, 'no' | 'null' | 'list' | 'yes'>;
}

export function jobs(pulls: boolean): fc.Arbitrary<Job> {
  const answer = fc.constantFrom('yes', 'no', null);
  const keys = [
    'did:hub/refitted',
    'did:box/replaced',
    'did:cell/unplugged',
    ...names(4, 's').map((s) => `holds:${s}`),
    ...names(6, 'f').map((f) => `done:${f}`),
  ];
  const seen = fc.record(
    Object.fromEntries(
      Object.keys(VALUES).map((name) => [
        name,
        fc.constantFrom('no' as const, 'no' as const, 'null' as const, 'list' as const, 'yes' as const),
      ]),
    ),
  );
  return fc
    .record({
      work: fc
        .array(works(), { minLength: 1, maxLength: 3 })
        .map((lines) =>
          lines.map((line) => (Array.isArray(line.at) && line.at.length === 1 ? { ...line, at: line.at[0] } : line)),
        ),
      codes: fc.subarray(['P0001', 'C1234', 'B0002'], { maxLength: 1 }),
      done: fc.boolean(),
      answers: fc.dictionary(fc.constantFrom(...keys), answer, { maxKeys: 3 }),
      tools: sometimes(fc.subarray(['scan-tool', 'stand']), 1),
      car: cars,
      seen,
    })
    .map(({ tools, ...job }) => ({ ...job, ...(tools && pulls ? { tools } : {}) }));
}

/** What is put in for a name: undefined where it is not told. */
function told(job: Job, name: string): unknown {
  const truth = job.car[name] as string | number;
  const how = job.seen[name];
  if (how === 'yes') return truth;
  if (how === 'null') return null;
  const others = (VALUES[name] as readonly (string | number)[]).filter((value) => value !== truth);
  return how === 'list' ? [truth, others[0]] : undefined;
}

/** Values that a name can still have, or undefined where nothing is known of it. */
export function possible(job: Job, name: string): readonly (string | number)[] | undefined {
  const value = isCarFact(name) && job.seen[name] !== 'yes' ? undefined : told(job, name);
  if (value === undefined || value === null) return undefined;
  return Array.isArray(value) ? value : [value as string | number];
}

const CAR_KEYS: Record<string, string> = { maker: 'maker', model: 'model', 'model-year': 'modelYear' };
const isCarFact = (name: string) => name in CAR_KEYS;

export function jobText(job: Job): Json {
  const facts = Object.keys(CAR_KEYS).filter((name) => job.seen[name] === 'yes');
  const traits = Object.keys(TRAITS).filter((name) => told(job, name) !== undefined);
  return {
    ro: '1',
    vehicle: {
      ...Object.fromEntries(facts.map((name) => [CAR_KEYS[name], job.car[name]])),
      traits: Object.fromEntries(traits.map((name) => [name, told(job, name)])),
    },
    work: job.work,
    'work-done': job.done,
    codes: { before: job.codes },
    answers: job.answers,
    ...(job.tools ? { tools: job.tools } : {}),
  };
}

export function factsOf(job: Job, rulebook: Rulebook): Facts {
  const { facts, faults } = readFacts(jobText(job), rulebook);
  if (!facts) throw new Error(faults.map(printFault).join('\n'));
  return facts;
}
