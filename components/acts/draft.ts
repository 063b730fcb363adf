import type { ReadingValue } from '../../src/job/values.ts';

/**
 * What was written down and is not said yet. Kept beside the elements, so that turning to another step and back loses
 * nothing; said with the step's end. By job, step and round.
 */
const drafts = new Map<string, ReadonlyMap<string, ReadingValue>>();
const NONE: ReadonlyMap<string, ReadingValue> = new Map();

export function draftOf(round: string): ReadonlyMap<string, ReadingValue> {
  return drafts.get(round) ?? NONE;
}

export function draft(round: string, key: string, value: ReadingValue): void {
  drafts.set(round, new Map([...draftOf(round), [key, value]]));
}

/** What stands on the record is no draft any more. */
export function settleDraft(round: string, held: ReadonlyMap<string, ReadingValue>): void {
  const open = [...draftOf(round)].filter(([key, value]) => JSON.stringify(held.get(key)) !== JSON.stringify(value));
  if (open.length === 0) drafts.delete(round);
  else drafts.set(round, new Map(open));
}
