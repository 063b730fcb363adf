import { z } from 'zod';
import { PHOTO_TYPES } from './contract.ts';

/**
 * A job as it is exported: one JSON object, and many jobs one a line (JSON Lines). Its links are those of the chain, so a
 * reader without this program can verify it: each hash is the SHA-256 of the canonical JSON (RFC 8785) of
 * `{event, job, kept, number, previous}`, and each sealed field that of `{salt, value}`.
 */

const Hash = z
  .string()
  .regex(/^[0-9a-f]{64}$/)
  .describe('SHA-256, hexadecimal');
const Stamp = z.iso.datetime().describe('ISO 8601 in UTC');

const LinkText = z.strictObject({
  number: z.int().min(1),
  kept: Stamp.describe('when the server took it'),
  event: z
    .looseObject({ id: z.string(), type: z.string() })
    .describe('as it was sent; a personal field is {"sealed": hash} and stands under "personal"'),
  previous: Hash.describe('hash of the link before; 64 noughts before the first'),
  hash: Hash.describe('of this link'),
});

const PersonalText = z.union([
  z.strictObject({ hash: Hash, salt: z.string(), value: z.string() }),
  z.strictObject({ hash: Hash, removed: Stamp.describe('the value was removed; its hash stays') }),
]);

const PhotoText = z.union([
  z.strictObject({
    hash: Hash.describe('of the bytes'),
    type: z.enum(PHOTO_TYPES),
    kept: Stamp,
    bytes: z.base64().describe('base64 (RFC 4648, section 4)'),
  }),
  z.strictObject({ hash: Hash, type: z.enum(PHOTO_TYPES), kept: Stamp, removed: Stamp }),
]);

export const RecordFile = z.strictObject({
  format: z.literal('lastbolt-record'),
  v: z.literal(1),
  job: z.string().trim().min(1).max(200).describe('RO number'),
  links: z.array(LinkText).min(1).describe('in order; numbers from 1 without a gap'),
  personal: z.array(PersonalText).describe('by hash'),
  photos: z.array(PhotoText).describe('photos that the events speak of, by hash'),
});
export type RecordFile = z.infer<typeof RecordFile>;

/**
 * A rulebook in a file of exported jobs: a line of its own, once, before the first job that names it. Without it a job
 * taken in elsewhere could be read there, but neither planned nor explained under the rules it was opened with.
 */
export const RulebookFile = z.strictObject({
  format: z.literal('lastbolt-rulebook'),
  v: z.literal(1),
  version: z
    .string()
    .regex(/^[0-9a-f]{16}$/)
    .describe('that of these files: it changes with any of them'),
  files: z.record(z.string(), z.string()).describe('path below rules/, with /, to the text of the file'),
});
export type RulebookFile = z.infer<typeof RulebookFile>;

/** JSON Schema (draft 2020-12) of one line of exported jobs; text that ends with a line feed. */
export function recordSchema(): string {
  const line = z.union([
    RecordFile.meta({ title: 'The record of one job' }),
    RulebookFile.meta({ title: 'A rulebook that jobs of this file are pinned to' }),
  ]);
  const { $schema, ...rest } = z.toJSONSchema(line, { io: 'input', target: 'draft-2020-12' });
  return `${JSON.stringify({ $schema, title: 'One line of a file of exported jobs', ...rest }, null, 2)}\n`;
}
