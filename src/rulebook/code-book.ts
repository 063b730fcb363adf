import { z } from 'zod';

const id = z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/);
const text = z.string().min(1);
const byte = z.string().regex(/^[0-9A-F]{2}$/);
const basis = z.enum(['read', 'memory', 'common-practice']);
const sources = z.array(id).min(1).describe('ids listed under "sources" of this file');
const code = z.string().regex(/^[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?$/);

/** A meaning is in our own words and only where its source was seen; `null` says that none was, and nothing is shown. */
const codeRow = z
  .strictObject({
    meaning: text.nullable(),
    makers: z.array(id).min(1).optional().describe('whose code it is; a standard code has none'),
    unfinished: z.literal(true).optional().describe('of the family not learned, not programmed, not calibrated'),
    calls: z.array(id).min(1).optional().describe('follow-ups that it asks for, the likeliest first'),
    basis,
    sources,
  })
  .refine((row) => row.calls === undefined || row.unfinished, { error: 'calls for a follow-up without "unfinished"' });

const failureType = z.strictObject({
  says: text,
  unfinished: z.literal(true).optional().describe('a set-up step was not finished, whatever the code in front says'),
});

/** Which follow-up an unfinished code asks for where its own row does not say; the first row that fits speaks. */
const familyRow = z.strictObject({
  types: z.array(byte).min(1).describe('failure types'),
  modules: z.array(text).optional().describe('ids of modules, as find-modules.ts has them; none: any module'),
  systems: z.array(z.enum(['P', 'C', 'B', 'U'])).optional(),
  calls: z.array(id),
  says: text.describe('what to look for'),
  basis,
  sources,
});

const selfTestRow = z.strictObject({
  title: text,
  wants: text.describe('what the test asks for in general: rest, heat, drive'),
  soak: z.boolean().describe('wants the engine to have rested for hours'),
  basis,
  sources,
});

const sourceRow = z.strictObject({
  publisher: text,
  title: text,
  section: text.optional(),
  year: z.int().optional(),
  'read-on': z.iso.date().optional(),
  caveat: text.optional(),
});

/** `rules/codes.json`. */
export const CodesFile = z.strictObject({
  $schema: z.string().optional(),
  sources: z.record(id, sourceRow),
  codes: z.record(code, codeRow),
  'failure-types': z.record(byte, failureType),
  'failure-type-sources': sources,
  families: z.array(familyRow),
  'self-tests': z.record(id, selfTestRow),
});
export type CodeBook = z.infer<typeof CodesFile>;
export type CodeRow = z.infer<typeof codeRow>;
export type SelfTestRow = z.infer<typeof selfTestRow>;
