import { z } from 'zod';
import { ConditionText, Did, DIDS, Id, Scope, Setup } from './schema.ts';

/** Shapes of the tables beside the follow-ups: traits, parts, states, set-ups, sources, tools. */

const Text = z.string().min(1);

export const PLACE_WORDS = [
  'front',
  'rear',
  'left',
  'right',
  'nearside',
  'offside',
  'driver',
  'passenger',
  'both',
  'all',
  'upstream',
  'downstream',
] as const;

/** Why a piece of a pasted line gives no work line. */
export const PASSES = [
  'declined',
  'advice',
  'complaint',
  'finding',
  'price',
  'sum',
  'heading',
  'beside',
  'follow-up',
  'no-work',
] as const;

const table = <T extends z.ZodType>(row: T) => z.record(z.string(), row);
const SchemaLine = { $schema: Text.optional() };

export const TraitRow = z.strictObject({
  title: Text,
  question: Text.describe('in trade words, as asked on the floor'),
  'how-to-tell': Text.describe('by looking: the switch, the lamp, the label, the plug'),
  safety: z.boolean().optional(),
  values: z.record(Id, Text).optional().describe('every possible value and its wording; "none" = the car has it not'),
  number: z
    .strictObject({
      integer: z.boolean().optional(),
      min: z.number().optional(),
      max: z.number().optional(),
      unit: Text.optional(),
    })
    .optional(),
  open: z.boolean().optional().describe('true: any word; only the values that rules name are told apart'),
  since: z
    .strictObject({ year: z.int(), sources: z.array(Text).min(1) })
    .optional()
    .describe('the first model year of which any car has it: an earlier one has it not, and nobody is asked'),
  likely: z
    .array(z.strictObject({ scope: Scope, value: Id, because: Text, sources: z.array(Text).min(1) }))
    .optional()
    .describe('what most such cars have: shown as a suggestion beside the question, never taken as known'),
  sources: z.array(Text).optional(),
});
export const TraitsFile = table(TraitRow);

export const Implied = z.strictObject({
  when: Did,
  part: Id,
  did: Did,
  at: z
    .union([z.literal('same'), z.array(Id).min(1)])
    .optional()
    .describe('"same": where the line itself is'),
  if: ConditionText.optional(),
  scope: Scope.optional(),
  maybe: z.boolean().optional().describe('true: asked, not taken as done'),
  because: Text,
  sources: z.array(Text).optional(),
});

export const PartRow = z.strictObject({
  title: Text,
  aka: z.array(Text).optional().describe('synonyms, abbreviations, US and UK names'),
  system: Id,
  at: z.array(Id).optional().describe('positions it can have; empty = there is only one'),
  did: z.array(Did).optional().describe('actions that make sense; all when left out'),
  plain: z
    .literal(true)
    .optional()
    .describe('work on it calls for nothing of its own; it is here so that it can be written up'),
  implies: z.array(Implied).optional(),
});
export const PartsFile = table(PartRow);

export const StateRow = z.strictObject({
  title: Text,
  start: z.enum(['holds', 'absent', 'confirm']).optional(),
  delivery: z.enum(['must', 'free', 'must-not']).optional(),
  lapses: z.enum(['never', 'ignition-off', 'power-lost', 'overnight']).optional(),
  guards: z.array(Setup).optional(),
  question: Text.optional().describe('for start "confirm": what is asked in the entry of the first step that needs it'),
});
export const StatesFile = table(StateRow);

export const DimensionRow = z.strictObject({
  title: Text,
  start: Id.describe('value a car has when it comes off the work'),
  values: z.record(
    Id,
    z.strictObject({ title: Text, to: Text.optional().describe('divider wording when the car is brought to it') }),
  ),
  minutes: z.record(Id, z.record(Id, z.number().min(0))).describe('from, then to, in minutes'),
  otherwise: z.number().min(0).describe('minutes for a pair not listed'),
});
export const SetupsFile = z.strictObject({
  ...SchemaLine,
  dimensions: z.record(Id, DimensionRow),
  forbidden: z.array(Setup),
  tools: z
    .record(Id, z.strictObject({ title: Text, short: Text.optional() }))
    .describe('what a way is done with; "none" = nothing'),
  drive: z.strictObject({ setup: Setup, becomes: Setup }).describe('what every drive asks for and leaves'),
});

export const SourceRow = z.strictObject({
  publisher: Text,
  title: Text,
  ref: Text.optional(),
  year: z.union([z.int(), Text]).optional(),
  kind: z.enum(['maker', 'regulation', 'standard', 'training', 'press', 'memory', 'common-practice']).optional(),
});
export const SourcesFile = table(SourceRow);

const Words = z.array(Text).min(1);

export const ElsewhereRow = z.strictObject({
  title: Text.describe('what it is when no follow-up was missed'),
  said: Words.describe("customers' and technicians' words"),
  test: z.strictObject({
    label: Text,
    kind: z.enum(['eye', 'reading', 'road']),
    minutes: z.number().min(1),
  }),
  codes: z.array(z.string().regex(/^[PBCU][0-3][0-9A-F]{3}$/)).optional(),
  parts: z.array(Id).optional().describe('work on these makes it likelier'),
  sources: z.array(Text).min(1),
});

/** How complaints are read: words to signs, and what else a complaint can be. */
export const ComplaintsFile = z.strictObject({
  ...SchemaLine,
  'written-as': table(Text).describe('a word as written to the words it stands for: abbreviations, US to UK'),
  'passed-over': Words.describe('words that say nothing of a fault'),
  joining: Words.describe('words that count only within a sign, such as "to" in "to the floor"'),
  'sets-aside': Words.describe('what a clause with one of these names is in order'),
  'set-ahead': Words.describe('behind one of these stands what was done, not what is wrong'),
  'work-words': Words.describe('words that tell of work done: what stands beside them is not what is wrong'),
  deniable: z.array(Id).describe('signs that "not" or "no" before them takes away: "not spongy"'),
  signs: z.record(Id, Words).describe('a thing or a behaviour to the words for it'),
  elsewhere: z.record(Id, ElsewhereRow).describe('faults that no missed follow-up explains'),
});

export type ComplaintsFile = z.infer<typeof ComplaintsFile>;
export type ElsewhereRow = z.infer<typeof ElsewhereRow>;
/** Words that lines of a repair order are read by. */
export const WordsFile = z.strictObject({
  ...SchemaLine,
  about: Text.describe('where the words are from'),
  'driver-sits': z
    .record(Text, z.enum(['left', 'right']))
    .describe('market to the side; one left out has both, and is asked'),
  means: table(Text).describe('abbreviation, spelling or name of another country, and what it stands for'),
  places: table(z.array(z.enum(PLACE_WORDS)).min(1)).describe('what a word says of where on the car'),
  did: z
    .partialRecord(z.enum([...DIDS, 'fitted']), z.array(Text))
    .describe('verbs, of which all forms are known; "fitted" = replaced, unless it was taken off in the same breath'),
  behind: table(Did).describe('words that say what was done only right behind the part: "gearbox out"'),
  works: z
    .array(
      z.strictObject({
        words: z.array(Text).min(1),
        gives: z.array(z.strictObject({ part: Id, did: Did })).describe('empty: it is a follow-up, not work'),
      }),
    )
    .describe('set phrases that say both the part and what was done; the order of their words is free'),
  follows: z
    .array(
      z.strictObject({
        words: z.array(Text).min(1),
        did: Did,
        'by-part': table(Id),
        'by-system': table(Id),
      }),
    )
    .describe('phrases that mean another part by what was named before them: "and bleed"'),
  passes: z
    .partialRecord(z.enum(PASSES), z.array(Text))
    .describe('words by which a line, or a piece of it, is no work that was done'),
  begins: z.array(Text).describe('words that begin a new sentence without a full stop before them'),
  soft: z.array(Text).describe('words that may stand within the name of a part and change nothing'),
  filler: z.array(Text).describe('words that say nothing of part, deed or place'),
  heads: z.array(Text).describe('nouns that make another part of the part named before them: "door switch"'),
  'not-here': z.array(Text).describe('parts that the rulebook has not: never taken for one it has'),
  plain: z.array(Text).describe('words that are never taken for a misspelt one'),
});

export type TraitRow = z.infer<typeof TraitRow>;
export type PartRow = z.infer<typeof PartRow>;
export type Implied = z.infer<typeof Implied>;
export type StateRow = z.infer<typeof StateRow>;
export type SetupsFile = z.infer<typeof SetupsFile>;
export type SourceRow = z.infer<typeof SourceRow>;
export type WordsFile = z.infer<typeof WordsFile>;
export type PlaceWord = (typeof PLACE_WORDS)[number];
