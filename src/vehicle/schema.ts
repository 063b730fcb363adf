import { z } from 'zod';

/** Where a vehicle was built or first sold for: decides which law speaks. `CA` is Canada, `US-CA` is California, which lies in `US`. */
export const MARKETS = ['US', 'US-CA', 'CA', 'EU', 'GB', 'JP', 'CN', 'other'] as const;
export type Market = (typeof MARKETS)[number];

/** Classes of US and Canadian law (49 CFR 571.3), then those of UN and EU law (UN R.E.3, Regulation (EU) 2018/858). */
// biome-ignore format: two families of classes
export const VEHICLE_CLASSES = [
  'car', 'mpv', 'truck', 'bus', 'motorcycle', 'trailer', 'm1', 'm2', 'm3', 'n1', 'n2', 'n3',
] as const;
export type VehicleClass = (typeof VEHICLE_CLASSES)[number];

export const FUELS = ['petrol', 'diesel', 'gas', 'electricity', 'hydrogen'] as const;
export const PROPULSIONS = ['engine', 'mild-hybrid', 'hybrid', 'plug-in-hybrid', 'electric', 'fuel-cell'] as const;

const id = z.string().regex(/^[a-z0-9-]+$/);
const text = z.string().min(1);
const isoDate = z.iso.date();
const year = z.int().min(1900).max(2100);
const basis = z.enum(['read', 'memory']);
const makerCode = z.string().regex(/^[A-HJ-NPR-Z0-9]{3}([A-HJ-NPR-Z0-9]{3})?$/);
const blockEnd = z.string().regex(/^[A-HJ-NPR-Z0-9]{2}$/);
const country = z.string().regex(/^[A-Z]{2}$/);

/** `rules/makers.json`. Countries are ISO 3166-1 codes; a six-character code is a low-volume maker's (49 CFR 565.15(a)). */
export const makersFile = z.strictObject({
  $schema: z.string().optional(),
  sources: z.record(
    id,
    z.strictObject({ title: text, publisher: text, basis, 'read-on': isoDate.optional(), caveat: text.optional() }),
  ),
  makers: z.record(id, z.strictObject({ name: text, aka: z.array(text).default([]) })),
  codes: z.record(
    makerCode,
    z.strictObject({
      makers: z.array(id).min(1),
      /** Badges the code carried outside its source's list, from memory. */
      also: z.array(id).default([]),
      class: z.enum(['car', 'mpv', 'truck']).optional(),
      source: id,
    }),
  ),
  countries: z.array(z.strictObject({ from: blockEnd, to: blockEnd, country, source: id })),
});
export type MakerBook = z.infer<typeof makersFile>;

const most = z.strictObject({ max: z.number().positive() });

/**
 * The vehicles a row of law speaks of; every key that is present must hold. Weights in kg: where the law gives pounds,
 * they are rounded up to the next kilogram, so that a plate reading exactly the limit stays inside.
 */
export const lawConditions = z.strictObject({
  class: z.array(z.enum(VEHICLE_CLASSES)).min(1).optional(),
  gvwrKg: most.optional(),
  unloadedKg: most.optional(),
  seats: most.optional(),
  fuel: z.array(z.enum(FUELS)).min(1).optional(),
  propulsion: z.array(z.enum(PROPULSIONS)).min(1).optional(),
  dualRearWheels: z.boolean().optional(),
  multiStage: z.boolean().optional(),
  smallVolume: z.boolean().optional(),
  hydraulicSteering: z.boolean().optional(),
  kei: z.boolean().optional(),
  imported: z.boolean().optional(),
});
export type LawConditions = z.infer<typeof lawConditions>;

/**
 * From when a row binds. `built`: on or after this day of manufacture; `registered`: of first registration; `newTypes`:
 * of type approval; `modelYear`: this model year or later, the only test or the safe one beside `built`. One that holds is enough.
 */
export const lawStart = z
  .strictObject({
    modelYear: year.optional(),
    built: isoDate.optional(),
    registered: isoDate.optional(),
    newTypes: isoDate.optional(),
  })
  .refine((start) => Object.keys(start).length > 0, 'a row of law needs a date or a model year to start from');
export type LawStart = z.infer<typeof lawStart>;

const row = z.strictObject({
  id,
  market: z.enum(MARKETS),
  trait: id,
  from: lawStart,
  when: lawConditions,
  source: text,
  basis,
  caveat: text.optional(),
});
export type MandateRow = z.infer<typeof row>;

const remark = z.strictObject({ market: z.enum(MARKETS), text, source: text, basis });

/** `rules/mandates.json`: what the law says a vehicle *has*, never how; where it is silent though one might think otherwise; what to know beside it. */
export const mandatesFile = z.strictObject({
  $schema: z.string().optional(),
  rows: z.array(row),
  silent: z.array(z.strictObject({ id, market: z.enum(MARKETS), trait: id, because: text, source: text, basis })),
  notes: z.array(remark),
});
export type Mandates = z.infer<typeof mandatesFile>;
