import type { Facts, JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { MARKETS, type Market, VEHICLE_CLASSES, type VehicleClass } from '../vehicle/schema.ts';
import { readVin, type VinReading } from '../vehicle/vin.ts';
import { setVehicle } from './job.ts';

/** What the VIN tells, for the eyes beside it; planning reads it for itself. */
export function readTyped(vin: string, job: JobFile, { makerBook }: Rulebook): VinReading | undefined {
  if (!vin || !makerBook) return undefined;
  const { gvwrKg } = job.vehicle ?? {};
  return readVin(vin, {
    makers: makerBook,
    market: marketOf(job),
    class: classOf(job),
    gvwrKg: gvwrKg === undefined ? undefined : { min: gvwrKg, max: gvwrKg },
  });
}

/** A VIN as typed, without the layout that a label or a scanner puts round it. */
export function setVin(job: JobFile, typed: string): JobFile {
  const vin = typed
    .toUpperCase()
    .replaceAll(/[\s*-]/g, '')
    .slice(0, 40);
  return setVehicle(job, { vin });
}

export function marketOf(job: JobFile): Market | undefined {
  const market = job.vehicle?.market?.toUpperCase();
  return MARKETS.find((known) => known.toUpperCase() === market);
}

export function classOf(job: JobFile): VehicleClass | undefined {
  return VEHICLE_CLASSES.find((known) => known === job.vehicle?.class);
}

/** As the head of every leaf names the car. */
export function carName(job: JobFile, facts: Facts | undefined, { makers }: Rulebook): string {
  const { name, model } = job.vehicle ?? {};
  const maker = only(facts, 'maker') ?? '';
  const words = name ?? [makers.get(maker) ?? maker, model].filter(Boolean).join(' ');
  return [words || 'Car not named yet', only(facts, 'model-year')].filter(Boolean).join(', ');
}

/** A fact of the car that is known for sure. */
function only(facts: Facts | undefined, fact: string): string | undefined {
  const [value, other] = facts?.car.get(fact)?.values ?? [];
  return value === undefined || other !== undefined ? undefined : String(value);
}
