import { z } from 'zod';

/**
 * The one definition of a follow-up file: types, JSON Schema (rules/schema/follow-up.json) and the loader's
 * shape check all come from here. What a schema cannot hold (names that must exist, literals inside a trait's
 * domain, truth tables) is checked by load.ts and lint.
 */

export const Id = z
  .string()
  .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/)
  .describe('lower-case words joined by hyphens');

export const DIDS = [
  'inspected',
  'unplugged',
  'refitted',
  'replaced',
  'repaired',
  'adjusted',
  'cleaned',
  'drained',
  'programmed',
  'power-lost',
] as const;
export const Did = z.enum(DIDS).describe('what was done; replaced implies refitted, refitted implies unplugged');
export type Did = z.infer<typeof Did>;

export const LEVELS = ['required', 'recommended', 'not-needed'] as const;
export const Level = z.enum(LEVELS);
export type Level = z.infer<typeof Level>;

export const PHASES = ['before', 'apart', 'after'] as const;
export const Phase = z.enum(PHASES).describe('before work starts, with parts off, or after assembly');
export type Phase = z.infer<typeof Phase>;

export const KINDS = [
  'relearn',
  'reset',
  'calibration',
  'registration',
  'initialisation',
  'programming',
  'bleed',
  'adjustment',
  'wait',
  'inspection',
  'record',
] as const;

/** JSON Logic over traits; its grammar is checked by condition.ts, so the schema only says "present". */
export const ConditionText = z
  .unknown()
  .describe('JSON Logic over traits: var == != ! and or in < <= > >=; or true / false');

const Text = z.string().min(1);
const Position = Id.describe('where on the car, as listed under the part');
const SourceRefs = z.array(Text).describe('ids listed under "sources" of this file');
const Minutes = z.number().min(0);

export const Scope = z
  .strictObject({
    makers: z.array(Id).min(1).optional(),
    models: z.array(Id).min(1).optional(),
    years: z.tuple([z.int(), z.int()]).optional().describe('model years, first and last, both included'),
  })
  .refine((s) => s.makers || s.models || s.years, { error: 'is empty; name makers, models or years' })
  .describe('on whose cars it holds; ANDed with "if"');
export type Scope = z.infer<typeof Scope>;

const applies = { if: ConditionText.optional(), scope: Scope.optional() };

/** A length of time; several units add up. */
export const Duration = z
  .strictObject({
    seconds: z.number().min(0).optional(),
    minutes: Minutes.optional(),
    hours: z.number().min(0).optional(),
  })
  .refine((d) => d.seconds !== undefined || d.minutes !== undefined || d.hours !== undefined, {
    error: 'is empty; give seconds, minutes or hours',
  });
export type Duration = z.infer<typeof Duration>;

export const WorkMatch = z.strictObject({
  part: Id,
  did: Did,
  at: z.array(Position).min(1).optional(),
  exactly: z.boolean().optional().describe('true: a stronger did does not count'),
});
export type WorkMatch = z.infer<typeof WorkMatch>;

export const WorkOfStep = z.strictObject({ part: Id, did: Did, at: z.array(Position).min(1).optional(), ...applies });

export const Trigger = z
  .strictObject({
    work: z.array(WorkMatch).optional(),
    codes: z.array(z.string().regex(/^[PBCU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?$/)).optional(),
    ...applies,
    level: Level,
    because: Text,
    sources: SourceRefs.optional(),
  })
  .refine((t) => (t.work?.length ?? 0) + (t.codes?.length ?? 0) > 0, { error: 'names neither work nor codes' });
export type Trigger = z.infer<typeof Trigger>;

export const Need = z.strictObject({
  state: Id,
  ...applies,
  within: Duration.optional().describe('maximum lag: the step must start this soon after the state was left'),
  because: Text.optional(),
  sources: SourceRefs.optional(),
});

export const Leave = z.strictObject({
  state: Id,
  ...applies,
  later: Duration.optional().describe('minimum lag: the state holds only this long after the step'),
  sources: SourceRefs.optional(),
});

export const Upset = z.strictObject({
  state: Id,
  ...applies,
  because: Text.optional(),
  sources: SourceRefs.optional(),
});

export const After = z.strictObject({ step: Id, ...applies, because: Text, sources: SourceRefs });

export const Cover = z.union([Id, z.strictObject({ step: Id, ...applies, because: Text.optional() })]);

export const Limit = z
  .strictObject({
    ...applies,
    min: z.number().optional(),
    max: z.number().optional(),
    text: Text.optional(),
    sources: SourceRefs.optional(),
  })
  .refine((l) => l.min !== undefined || l.max !== undefined || l.text !== undefined, {
    error: 'has neither min, max nor text',
  });

/** A value the technician writes down: before the step (entry) or as its proof. */
export const Reading = z.strictObject({
  label: Text,
  answer: z.enum(['number', 'choice', 'text', 'photo']),
  unit: Text.optional(),
  choices: z.array(Text).min(2).optional().describe('for answer "choice"; the first is the one that passes'),
  ...applies,
  limits: z.array(Limit).optional(),
});
export type Reading = z.infer<typeof Reading>;

export const Setup = z.record(Id, Id).describe('dimension to value, as listed in setups.json');

export const Drive = z.strictObject({
  'from-km/h': z.number().min(0).optional(),
  'to-km/h': z.number().min(0).optional(),
  minutes: Minutes.optional(),
  seconds: z.number().min(0).optional(),
  km: z.number().min(0).optional(),
  straight: z.boolean().optional(),
  'lane-markings': z.boolean().optional(),
  daylight: z.boolean().optional(),
  steady: z.boolean().optional().describe('constant speed'),
  stops: z.int().min(1).optional().describe('how many full stops'),
  'coast-downs': z.int().min(1).optional().describe('how many closed-throttle decelerations'),
  'full-lock': z.boolean().optional().describe('steering turned fully to both sides, at a standstill or walking pace'),
  text: Text.optional(),
  sources: SourceRefs.optional(),
});
export type Drive = z.infer<typeof Drive>;

export const Wait = z.union([
  Minutes,
  z.strictObject({
    ask: Text.describe('what the technician reads off, and where'),
    usual: z.tuple([Minutes, Minutes]),
    'counts-from': z.enum(['step', 'work-done']).optional(),
  }),
]);

export const Way = z.strictObject({
  id: Id,
  title: Text.optional(),
  ...applies,
  tool: Id.optional().describe('"none" when left out'),
  setup: Setup.optional(),
  hold: Setup.optional().describe('must not be broken inside the step'),
  becomes: Setup.optional().describe('what the step itself changes'),
  drive: Drive.optional(),
  minutes: z.strictObject({ hands: Minutes.optional(), wait: Wait.optional() }).optional(),
  tries: z.strictObject({ most: z.int().min(1), then: Text, sources: SourceRefs.optional() }).optional(),
  entry: z.array(Reading).optional(),
  outline: z.array(Text).optional(),
  closing: z
    .strictObject({
      ...Object.fromEntries(['ignition', 'place', 'heat', 'supply', 'wheels'].map((d) => [d, Id.optional()])),
      wait: Duration.optional(),
      text: Text.optional(),
      sources: SourceRefs.optional(),
    })
    .optional()
    .describe('what ends the step: the set-up to leave and the wait in it'),
  proof: z.array(Reading).optional(),
  cautions: z.array(Text).optional(),
  needs: z.array(Need).optional(),
  upsets: z.array(Upset).optional(),
  does: z.array(WorkOfStep).optional(),
  finish: z.enum(['shop', 'owner']).optional(),
  'owner-told': Text.optional(),
  sources: SourceRefs.optional(),
});
export type Way = z.infer<typeof Way>;

export const Skipped = z.strictObject({
  notice: Text.describe('what the customer or the technician notices'),
  said: z.array(Text).optional().describe("customers' words"),
  'sets-in': z.enum(['at-once', 'same-day', 'days', 'weeks', 'months']),
  silent: z.boolean().optional().describe('true: no lamp, no code'),
  codes: z.array(Text).optional(),
  ...applies,
  sources: SourceRefs.optional(),
});

export const Example = z.strictObject({
  work: z.array(Text).optional().describe('"part did" or "part did position"'),
  codes: z.array(Text).optional(),
  maker: Id.optional(),
  model: Id.optional(),
  'model-year': z.int().optional(),
  traits: z.record(Id, z.unknown()).optional(),
  answers: z.record(Text, z.unknown()).optional(),
  'work-done': z.boolean().optional(),
  verdict: z.enum(['needed', 'excluded', 'undecided']),
  level: z.enum(['required', 'recommended']).optional(),
});
export type Example = z.infer<typeof Example>;

export const SourceUse = z.strictObject({
  id: Text.describe('as listed in sources.json'),
  section: Text.optional(),
  basis: z.enum(['read', 'memory', 'common-practice']),
  'read-on': z.iso.date().optional(),
  note: Text.optional(),
});

export const FollowUpFile = z.strictObject({
  $schema: Text.optional(),
  title: Text,
  aka: z.array(Text).optional(),
  kind: z.enum(KINDS),
  purpose: Text,
  safety: z.boolean(),
  phase: Phase,
  fits: ConditionText.optional(),
  does: z.array(WorkOfStep).optional(),
  'done-by': z.array(WorkMatch).optional(),
  triggers: z.array(Trigger).optional(),
  needs: z.array(Need).optional(),
  leaves: z.array(Leave).optional(),
  upsets: z.array(Upset).optional(),
  after: z.array(After).optional(),
  covers: z.array(Cover).optional(),
  repeatable: z.boolean().optional(),
  stands: z.enum(['first', 'last']).nullable().optional(),
  per: z.union([z.literal('job'), z.strictObject({ position: z.array(Position).min(1) })]).optional(),
  ways: z.array(Way).min(1),
  proof: z.array(Reading).optional(),
  finish: z.enum(['shop', 'owner']).optional(),
  'owner-told': Text.optional(),
  skipped: z.array(Skipped),
  cautions: z.array(Text).optional(),
  examples: z.array(Example),
  sources: z.array(SourceUse),
});
export type FollowUpFile = z.infer<typeof FollowUpFile>;
