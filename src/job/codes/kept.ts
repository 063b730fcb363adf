import { findCodes } from '../../scan/find-codes.ts';
import type { Kept } from '../../scan/status.ts';
import type { EventOf } from '../events.ts';

export type CodeRead = EventOf<'scanned'>['codes'][number];

/** What the report said of a code that is on record: stored, pending, permanent. */
export function keptOf({ code, text }: CodeRead): readonly Kept[] {
  if (!text) return [];
  return findCodes(text).codes.find((found) => found.code === code)?.kept ?? [];
}
