import { type Domain, outside, type Value } from '../rulebook/domain.ts';
import { type Fault, pointer } from '../rulebook/fault.ts';
import { near } from '../rulebook/read.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { lawTraits } from '../vehicle/law.ts';
import { findMaker } from '../vehicle/maker.ts';
import { type FUELS, MARKETS, type Market, type VehicleClass } from '../vehicle/schema.ts';
import { readVin, type VinReading } from '../vehicle/vin.ts';
import type { JobFile } from './job-file.ts';

/** What is known of the car: told at write-up, read from the VIN, fixed by law. In that order of trust. */

export interface KnownTrait {
  /** Values still possible; undefined = looked and can't tell, so all are. */
  readonly values?: readonly Value[];
  /** told, looked, scan, vin, law or year. */
  readonly by: string;
}

export interface Car {
  readonly car: ReadonlyMap<string, KnownTrait>;
  readonly remarks: readonly string[];
}

type Fuel = (typeof FUELS)[number];
type Vehicle = NonNullable<JobFile['vehicle']>;
type TraitAnswer = NonNullable<Vehicle['traits']>[string];

export function readCar(vehicle: Vehicle, rulebook: Rulebook, file: string, faults: Fault[]): Car {
  const car = new Map<string, KnownTrait>();
  const remarks: string[] = [];
  if (vehicle.modelYear !== undefined) car.set('model-year', { values: [vehicle.modelYear], by: 'told' });
  for (const fact of ['model', 'market'] as const) {
    const word = vehicle[fact];
    if (word !== undefined) car.set(fact, { values: [slug(word)], by: 'told' });
  }
  const maker = vehicle.maker === undefined ? undefined : makerId(vehicle.maker, rulebook, file, faults);
  if (maker !== undefined) car.set('maker', { values: [maker], by: 'told' });
  for (const [trait, answer] of Object.entries(vehicle.traits ?? {})) {
    const at = pointer('vehicle', 'traits', trait);
    const domain = rulebook.traits.has(trait) ? rulebook.domains.get(trait) : undefined;
    if (!domain)
      faults.push({
        file,
        pointer: at,
        message: 'unknown trait',
        value: trait,
        ...near(trait, rulebook.traits.keys()),
      });
    const known = domain && readTrait(answer, domain, file, at, trait, faults);
    if (known) car.set(trait, known);
  }
  const vin = readVinOf(vehicle, rulebook);
  if (vin) takeVin(vin, car, remarks);
  takeLaw(vehicle, vin, rulebook, car, remarks);
  takeYears(rulebook, car);
  return { car, remarks };
}

/** The maker as people write it, to its id; a name that is not in the list is a fault, for it would quietly count as any other. */
function makerId(word: string, rulebook: Rulebook, file: string, faults: Fault[]): string {
  if (!rulebook.makerBook) return slug(word);
  const found = findMaker(word, rulebook.makerBook);
  if ('id' in found) return found.id;
  const hint = 'leave it out if it is not in the list: rules of one maker then stay undecided';
  faults.push({
    file,
    pointer: '/vehicle/maker',
    message: 'unknown maker',
    value: word,
    hint,
    ...(found.nearest ? { nearest: found.nearest } : {}),
  });
  return slug(word);
}

function marketOf(vehicle: Vehicle): Market | undefined {
  return MARKETS.find((market) => market.toLowerCase() === vehicle.market?.trim().toLowerCase());
}

function readVinOf(vehicle: Vehicle, rulebook: Rulebook): VinReading | undefined {
  if (vehicle.vin === undefined || !rulebook.makerBook) return undefined;
  const market = marketOf(vehicle);
  return readVin(vehicle.vin, {
    makers: rulebook.makerBook,
    ...(market ? { market } : {}),
    ...(vehicle.class ? { class: vehicle.class } : {}),
    ...(vehicle.gvwrKg === undefined ? {} : { gvwrKg: { min: vehicle.gvwrKg, max: vehicle.gvwrKg } }),
  });
}

/** Takes from a sound VIN what nobody told; a faulty one is spoken of and nothing is taken from it. */
function takeVin(vin: VinReading, car: Map<string, KnownTrait>, remarks: string[]): void {
  for (const { text } of vin.faults) remarks.push(`VIN: ${text}; nothing is taken from it`);
  for (const { text } of vin.remarks) remarks.push(`VIN: ${text}`);
  if (vin.faults.length > 0) return;
  takeFromVin('maker', vin.makers, car, remarks);
  takeFromVin('model-year', vin.modelYears, car, remarks);
}

function takeFromVin(fact: string, values: readonly Value[], car: Map<string, KnownTrait>, remarks: string[]): void {
  if (values.length === 0) return;
  const told = car.get(fact)?.values;
  if (!told) car.set(fact, { values, by: 'vin' });
  else if (!values.includes(told[0] as Value))
    remarks.push(
      `VIN says ${fact.replace('-', ' ')} ${values.join(' or ')}, the job says ${told.join(' or ')}; the job's word is used`,
    );
}

/** Law says has, never how: every kind but "none" stays possible. */
/** What no car of so early a model year has, unless somebody found it there. */
function takeYears(rulebook: Rulebook, car: Map<string, KnownTrait>): void {
  const years = car.get('model-year')?.values?.map(Number);
  if (!years || years.length === 0) return;
  for (const [trait, { since }] of rulebook.traits) {
    if (since && !car.has(trait) && years.every((year) => year < since.year))
      car.set(trait, { values: ['none'], by: 'year' });
  }
}

/** What an engine as the rulebook tells them apart may burn. */
const FUELS_OF: Readonly<Record<string, readonly Fuel[]>> = {
  petrol: ['petrol', 'gas'],
  diesel: ['diesel'],
  none: ['electricity', 'hydrogen'],
};

function takeLaw(
  vehicle: Vehicle,
  vin: VinReading | undefined,
  rulebook: Rulebook,
  car: Map<string, KnownTrait>,
  remarks: string[],
): void {
  if (!rulebook.mandates) return;
  const years = car.get('model-year')?.values?.map(Number);
  const market = marketOf(vehicle);
  const filed = vin && vin.faults.length === 0 ? vin.filedClass : null;
  const kind: VehicleClass | undefined = vehicle.class ?? filed ?? undefined;
  const fuels = car.get('engine')?.values?.flatMap((engine) => FUELS_OF[engine] ?? []);
  const law = lawTraits(rulebook.mandates, {
    ...(market ? { market } : {}),
    ...(years ? { modelYear: years.length === 1 ? (years[0] as number) : years } : {}),
    ...(kind ? { class: kind } : {}),
    ...(fuels ? { fuel: fuels } : {}),
    ...(vehicle.gvwrKg === undefined ? {} : { gvwrKg: { min: vehicle.gvwrKg, max: vehicle.gvwrKg } }),
    ...(vehicle.built ? { builtDate: vehicle.built } : {}),
    ...(vehicle.registered ? { registeredDate: vehicle.registered } : {}),
    ...(vehicle.dualRearWheels === undefined ? {} : { dualRearWheels: vehicle.dualRearWheels }),
    ...(vehicle.multiStage === undefined ? {} : { multiStage: vehicle.multiStage }),
  });
  for (const { trait, source } of law.settled) {
    const domain = rulebook.traits.has(trait) ? rulebook.domains.get(trait) : undefined;
    if (domain?.kind !== 'values' || !domain.values.includes('none')) continue;
    const told = car.get(trait)?.values;
    if (!told) car.set(trait, { values: domain.values.filter((v) => v !== 'none'), by: 'law' });
    else if (told.length === 1 && told[0] === 'none')
      remarks.push(
        `the law gives this car ${rulebook.traits.get(trait)?.title ?? trait} (${source}), the job says it has none; the job's word is used`,
      );
  }
}

function readTrait(
  answer: TraitAnswer,
  domain: Domain,
  file: string,
  at: string,
  trait: string,
  faults: Fault[],
): KnownTrait | undefined {
  if (typeof answer === 'object' && answer !== null && !Array.isArray(answer)) {
    const inner = readTrait(answer.value, domain, file, `${at}/value`, trait, faults);
    return inner && { ...inner, by: answer.by };
  }
  if (answer === null) return { by: 'looked' };
  if (typeof answer === 'boolean') return readHasIt(answer, domain, file, at, trait, faults);
  const values = Array.isArray(answer) ? answer : [answer];
  for (const value of values) {
    const problem = outside(domain, value);
    if (problem) {
      faults.push({
        file,
        pointer: at,
        message: `${problem} for trait \`${trait}\``,
        value,
        ...(domain.kind === 'values' && typeof value === 'string' ? near(value, domain.values) : {}),
      });
      return undefined;
    }
  }
  return { values, by: 'told' };
}

/** true = has it, whatever kind; false = has it not. */
function readHasIt(
  has: boolean,
  domain: Domain,
  file: string,
  at: string,
  trait: string,
  faults: Fault[],
): KnownTrait | undefined {
  if (domain.kind !== 'values' || !domain.values.includes('none')) {
    const hint = domain.kind === 'values' ? `one of ${domain.values.join(', ')}` : undefined;
    faults.push({
      file,
      pointer: at,
      message: `trait \`${trait}\` is not a matter of has or has not`,
      value: has,
      ...(hint ? { hint } : {}),
    });
    return undefined;
  }
  return { values: has ? domain.values.filter((v) => v !== 'none') : ['none'], by: 'told' };
}

function slug(word: string): string {
  return word
    .trim()
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
}
