import { meaningOf } from '../../scan/meaning.ts';
import { namesCode } from '../../scan/pair.ts';
import type { CodeBook } from '../../rulebook/code-book.ts';
import type { FollowUp } from '../../rulebook/rulebook.ts';
import type { ElsewhereRow } from '../../rulebook/tables.ts';

/** Codes read now, beside what they mean. */
export interface ReadCodes {
  readonly codes: readonly string[];
  readonly book?: CodeBook | undefined;
  readonly makers: readonly string[];
}

/** How strongly a code speaks for one cause, as a factor, and the sentence. */
export interface CodeSays {
  readonly factor: number;
  readonly texts: readonly string[];
  readonly named: readonly string[];
}

const SKIPPED = 40;
const CALLS = 25;
const MEANS = 20;

/** A code that shows when it is skipped says most, then one that calls for it, then what a code means in general. */
export function codesFor(
  followUp: FollowUp,
  rows: readonly FollowUp['text']['skipped'][number][],
  read: ReadCodes,
): CodeSays {
  const hits = read.codes.flatMap((code) => {
    if (rows.some((row) => namesCode(row.codes ?? [], code)))
      return [{ code, factor: SKIPPED, text: `code ${code} shows where it is skipped` }];
    if (followUp.triggers.some((trigger) => namesCode(trigger.codes, code)))
      return [{ code, factor: CALLS, text: `code ${code} calls for it` }];
    const meaning = read.book && meaningOf(code, read.book, { makers: read.makers });
    if (meaning?.calls.includes(followUp.id))
      return [{ code, factor: MEANS, text: `code ${code}: ${meaning.because ?? meaning.says ?? 'asks for it'}` }];
    return [];
  });
  return said(hits);
}

export function codesElsewhere(row: ElsewhereRow, read: ReadCodes): CodeSays {
  return said(
    read.codes
      .filter((code) => namesCode(row.codes ?? [], code))
      .map((code) => ({ code, factor: CALLS, text: `code ${code} is of this` })),
  );
}

function said(hits: readonly { code: string; factor: number; text: string }[]): CodeSays {
  return {
    factor: Math.max(1, ...hits.map((hit) => hit.factor)),
    texts: hits.map((hit) => hit.text),
    named: hits.map((hit) => hit.code),
  };
}
