import { z } from 'zod';

/** What people and tablets write into the record; sizes are limits on input, not on the trade. */

export const Word = z.string().trim().min(1).max(200);
export const Sentence = z.string().trim().min(1).max(2000);
/** Made on the tablet, so that sending twice is harmless. */
export const EventId = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9-]{0,63}$/);
/** ISO 8601 with its offset; the core has no clock. */
export const Time = z.iso.datetime({ offset: true });
/** SHA-256 of the picture as it is kept, in hexadecimal. */
export const PhotoHash = z.string().regex(/^[0-9a-f]{64}$/);
export const Code = z
  .string()
  .trim()
  .toUpperCase()
  .regex(/^[PBCU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?$/, { error: 'is no trouble code such as P0123 or C1234-5A' });

/**
 * An answer to a reading. `sure` says of a doubted number that it is meant; `because` explains one outside its limit on
 * a step that is no safety item. "Not supported" is what the tool said, with a photo of its screen.
 */
export const ReadingValue = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('number'),
    value: z.number(),
    unit: Word.optional().describe('as typed; the unit asked for when left out'),
    sure: z.literal(true).optional(),
    because: Sentence.optional(),
  }),
  z.strictObject({ kind: z.literal('choice'), value: Word }),
  z.strictObject({ kind: z.literal('text'), value: Sentence }),
  z.strictObject({ kind: z.literal('photo'), hash: PhotoHash }),
  z.strictObject({ kind: z.literal('not-supported'), photo: PhotoHash }),
]);
export type ReadingValue = z.infer<typeof ReadingValue>;

/** By the key of the reading: "entry/LABEL", "proof/FOLLOW-UP/LABEL", with "@POSITION" where there is a box each. */
export const Values = z.record(z.string().min(1).max(300), ReadingValue);
export type Values = z.infer<typeof Values>;

export const Flip = z.strictObject({
  followUp: Word,
  from: z.enum(['needed', 'excluded']),
  to: z.enum(['needed', 'excluded']),
});
export type Flip = z.infer<typeof Flip>;

export const Difference = z.strictObject({
  followUp: Word,
  from: z.enum(['needed', 'excluded', 'undecided']),
  to: z.enum(['needed', 'excluded', 'undecided']),
});
export type Difference = z.infer<typeof Difference>;

/** Why a follow-up can be what brought a car back; `elsewhere`: none was missed. */
export const CAUSE_KINDS = [
  'never-done',
  'did-not-take',
  'closing-missed',
  'out-of-order',
  'undone-later',
  'trait-wrong',
  'expected',
  'elsewhere',
] as const;

export const NOT_DONE = ['declined', 'no-tool', 'part-missing', 'does-not-fit'] as const;

/** Ends in a full stop and begins large, whatever it was made of. */
export function sentence(text: string): string {
  const large = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(large) ? large : `${large}.`;
}
