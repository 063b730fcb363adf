import { z } from 'zod';
import { Did, Id } from '../rulebook/schema.ts';
import { VEHICLE_CLASSES } from '../vehicle/schema.ts';

/** A job as written up: the file that `lastbolt plan` reads and the app keeps. */

const Text = z.string().min(1).max(200);

export const WorkLineText = z.strictObject({
  part: Id,
  did: Did,
  at: z.union([Id, z.array(Id).min(1)]).optional(),
  by: Text.optional().describe('"us" when left out; work by others counts too'),
  note: Text.optional(),
});

export const TraitAnswer = z
  .union([
    z.null(),
    z.boolean(),
    z.string(),
    z.number(),
    z.array(z.union([z.string(), z.number()])).min(1),
    z.strictObject({
      value: z.union([
        z.null(),
        z.boolean(),
        z.string(),
        z.number(),
        z.array(z.union([z.string(), z.number()])).min(1),
      ]),
      by: z.enum(['law', 'vin', 'looked', 'told', 'scan']),
    }),
  ])
  .describe(
    'a value, a list of values still possible, true = has it (kind unknown), false = has it not, null = looked and can not tell',
  );

export const JobFile = z.strictObject({
  $schema: Text.optional(),
  ro: Text.describe('repair order number'),
  vehicle: z
    .strictObject({
      vin: Text.optional(),
      modelYear: z.int().min(1950).max(2100).optional(),
      market: Text.optional(),
      maker: Text.optional(),
      model: Text.optional(),
      name: Text.optional().describe('as the desk calls it; planning does not read it'),
      class: z.enum(VEHICLE_CLASSES).optional().describe('as in the law of its market; asked once'),
      gvwrKg: z.number().positive().optional().describe('highest permitted laden weight'),
      built: z.iso.date().optional(),
      registered: z.iso.date().optional(),
      dualRearWheels: z.boolean().optional(),
      multiStage: z.boolean().optional(),
      traits: z.record(z.string(), TraitAnswer).optional(),
    })
    .optional(),
  work: z.array(WorkLineText).max(500),
  'work-done': z.boolean().optional(),
  promised: z.iso
    .datetime({ offset: true })
    .optional()
    .describe('when the owner was told that the car can go; planning does not read it'),
  parked: Text.optional().describe('where in the shop the car stands; planning does not read it'),
  codes: z.strictObject({ before: z.array(Text).optional(), after: z.array(Text).optional() }).optional(),
  answers: z
    .record(Text, z.union([z.enum(['yes', 'no']), z.null(), z.string(), z.number()]))
    .optional()
    .describe(
      'to questions other than traits: "did:PART/DID", "done:FOLLOW-UP", "holds:STATE": yes, no or null; "at:LINE": a position; "wait:FOLLOW-UP": minutes',
    ),
  tools: z.array(Id).optional().describe('tools in the shop; all when left out'),
});
export type JobFile = z.infer<typeof JobFile>;
