import type { JobFile } from '../resolve/facts.ts';
import { type LawReading, lawTraits } from '../vehicle/law.ts';
import { MARKETS, type Market, VEHICLE_CLASSES, type VehicleClass } from '../vehicle/schema.ts';
import { readVin, type VinReading } from '../vehicle/vin.ts';
import type { Book } from './book.ts';
import { setVehicle } from './job.ts';

/** What VIN and law tell of a job's vehicle. */

export function vinOf(job: JobFile, { makers }: Book): VinReading | undefined {
  const vin = job.vehicle?.vin;
  if (!vin) return undefined;
  return readVin(vin, { makers, market: marketOf(job), class: classOf(job), gvwrKg: job.vehicle?.gvwrKg });
}

export function lawOf(job: JobFile, { mandates }: Book): LawReading {
  return lawTraits(mandates, {
    market: marketOf(job),
    modelYear: job.vehicle?.modelYear,
    builtDate: job.vehicle?.built,
    class: classOf(job),
    gvwrKg: job.vehicle?.gvwrKg,
  });
}

/** The job with what the law settles; what a person looked at stands above it. */
export function withLaw(job: JobFile, law: LawReading, { rulebook }: Book): JobFile {
  const own = job.vehicle?.traits ?? {};
  const settled = law.settled.filter(({ trait }) => !Object.hasOwn(own, trait) && canBeAbsent(trait, rulebook));
  if (settled.length === 0) return job;
  const traits = Object.fromEntries(settled.map(({ trait }) => [trait, { value: true, by: 'law' as const }]));
  return setVehicle(job, { traits: { ...traits, ...own } });
}

/** A VIN as typed, with the model year and the maker if it tells exactly one. */
export function setVin(job: JobFile, typed: string, book: Book): JobFile {
  const vin = typed.toUpperCase().replaceAll(/[\s*-]/g, '').slice(0, 40);
  return readOff(setVehicle(job, { vin }), book);
}

/** Writes down what the VIN tells and nobody said. */
export function readOff(job: JobFile, book: Book): JobFile {
  const reading = vinOf(job, book);
  if (!reading?.vin) return job;
  const [year, otherYear] = reading.modelYears;
  const [maker, otherMaker] = reading.makers;
  return setVehicle(job, {
    modelYear: job.vehicle?.modelYear ?? (otherYear === undefined ? year : undefined),
    maker: job.vehicle?.maker ?? (otherMaker === undefined ? maker : undefined),
  });
}

export function marketOf(job: JobFile): Market | undefined {
  const market = job.vehicle?.market?.toUpperCase();
  return MARKETS.find((known) => known.toUpperCase() === market);
}

export function classOf(job: JobFile): VehicleClass | undefined {
  return VEHICLE_CLASSES.find((known) => known === job.vehicle?.class);
}

/** As the head of every leaf names the car. */
export function carName(job: JobFile, { makers }: Book): string {
  const { name, maker, model, modelYear } = job.vehicle ?? {};
  const made = maker ? (makers.makers[maker]?.name ?? maker) : '';
  const words = name ?? [made, model].filter(Boolean).join(' ');
  return [words || 'Car not named yet', modelYear].filter(Boolean).join(', ');
}

function canBeAbsent(trait: string, rulebook: Book['rulebook']): boolean {
  const domain = rulebook.traits.has(trait) ? rulebook.domains.get(trait) : undefined;
  return domain?.kind === 'values' && domain.values.includes('none');
}
