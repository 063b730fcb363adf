import type { Kept } from './status.ts';

/** Words of reports, to ours. Plain English of the trade; from memory. */
const SURE: readonly (readonly [Kept, RegExp])[] = [
  ['pending', /\bpending\b|\bmaturing\b/i],
  ['permanent', /\bpermanent(?! magnet)\b|\bPDTC\b/i],
  ['history', /\bhistor(?:y|ic|ical)\b/i],
  ['stored', /\bstored\b|\bconfirmed\b/i],
];
// `current` is also amperes, `active` also a damper, `past` also a word: only as a cell of their own, or before "code".
const CELLS: readonly (readonly [Kept, string])[] = [
  ['present', 'active|current|present'],
  ['history', 'past|passive|inactive|not present|intermittent|sporadic'],
];
const CELL_PATTERNS = CELLS.map(
  ([kept, words]) =>
    [
      kept,
      new RegExp(
        `(?:^|[|,;:([\\t-]| {2}|\\bstatus[ :=]{1,3})[ \\t]?(?:${words})[ \\t]?(?=$|[|,;)\\]\\t.]| {2}| (?:codes?|dtcs?|faults?)\\b)`,
        'i',
      ),
    ] as const,
);

/** What the words beside a code say of it: those behind it, else those before it on its line. */
export function statusNear(before: string, after: string): Kept[] {
  const behind = statusIn(after);
  return behind.length > 0 ? behind : statusIn(before);
}

/**
 * What a line without a code says of the codes under it: `Pending codes`, `Permanent DTCs (2)`. Null where it opens a
 * section that says nothing or is empty (`No pending codes`), undefined where it opens none.
 */
export function sectionStatus(line: string): Kept | null | undefined {
  if (!/\b(?:codes?|dtcs?|faults?|troubles?|memory|memories)\b/i.test(line)) return undefined;
  const [found] = statusIn(line);
  if (!found || /\bno\b|\bnone\b|:\s{0,3}0\b/i.test(line)) return null;
  return found;
}

function statusIn(text: string): Kept[] {
  return [...SURE, ...CELL_PATTERNS].flatMap(([kept, pattern]) => (pattern.test(text) ? [kept] : []));
}
