import { formatCode, ownerOf, readCode, type TroubleCode } from './code.ts';
import type { CodeBook, CodeRow } from '../rulebook/code-book.ts';

export interface Meaning {
  /** What the code says; null where no source was seen, or the meaning is another maker's. */
  readonly says: string | null;
  /** What the third byte says; null where there is none or it is not in the list. */
  readonly typeSays: string | null;
  /** A set-up step was not finished: not learned, not programmed, not calibrated. */
  readonly unfinished: boolean;
  /** Follow-ups that it asks for, the likeliest first. */
  readonly calls: readonly string[];
  /** Why they are called for; null where nothing is unfinished. */
  readonly because: string | null;
  readonly basis: CodeRow['basis'] | null;
  /** `publisher: title`, with what to know of it. */
  readonly sources: readonly string[];
}

export interface MeaningFacts {
  /** Module that reports it, as `find-modules.ts` calls it. */
  readonly module?: string | null | undefined;
  /** Maker ids of the car; without them a maker's own code has no meaning. */
  readonly makers?: readonly string[] | undefined;
}

/**
 * What a code means, as far as a source was seen, and which follow-up it asks for. A failure type 51, 54, 55, 76 or 78
 * speaks of an unfinished set-up step on any code (SAE J2012-DA); which one is then told by the module, and only as a
 * hint. Throws a RangeError for what is no code.
 */
export function meaningOf(code: string, book: CodeBook, facts: MeaningFacts = {}): Meaning {
  const read = readCode(code);
  if (!read) throw new RangeError(`\`${code}\` is no trouble code`);
  const row = rowOf(read, book, facts);
  const type = read.failureType === null ? undefined : book['failure-types'][read.failureType];
  const family = type?.unfinished && !row?.calls ? familyOf(read, book, facts) : undefined;
  const unfinished = Boolean(row?.unfinished || type?.unfinished);
  const sources = [
    ...(row?.meaning || row?.calls ? row.sources : []),
    ...(type ? book['failure-type-sources'] : []),
    ...(family?.sources ?? []),
  ];
  return {
    says: row?.meaning ?? null,
    typeSays: type?.says ?? null,
    unfinished,
    calls: row?.calls ?? family?.calls ?? [],
    because: unfinished ? reason(row, type, family, read) : null,
    basis: row?.meaning || row?.calls ? row.basis : null,
    sources: [...new Set(sources)].map((id) => sourceText(book, id)),
  };
}

function rowOf(code: TroubleCode, book: CodeBook, { makers }: MeaningFacts): CodeRow | undefined {
  const row = own(book.codes, formatCode(code)) ?? own(book.codes, code.base);
  if (!row?.makers) return row && ownerOf(code.base) === 'maker' && row.meaning === null ? undefined : row;
  return makers?.some((maker) => row.makers?.includes(maker)) ? row : undefined;
}

function familyOf(
  code: TroubleCode,
  book: CodeBook,
  { module }: MeaningFacts,
): CodeBook['families'][number] | undefined {
  const system = code.base.charAt(0);
  return book.families.find(
    (row) =>
      row.types.includes(code.failureType ?? '') &&
      (!row.modules || (module != null && row.modules.includes(module))) &&
      (!row.systems || row.systems.some((letter) => letter === system)),
  );
}

function reason(
  row: CodeRow | undefined,
  type: { says: string; unfinished?: true | undefined } | undefined,
  family: CodeBook['families'][number] | undefined,
  { failureType }: TroubleCode,
): string {
  if (row?.unfinished && row.meaning) return row.meaning;
  const says = `its failure type ${failureType} says: ${type?.says}`;
  return family ? `${says}; ${family.says}` : says;
}

function sourceText(book: CodeBook, id: string): string {
  const source = own(book.sources, id);
  if (!source) return id;
  const { publisher, title, section, year, caveat } = source;
  return `${publisher}: ${[title, section, year].filter((part) => part !== undefined).join(', ')}${caveat ? ` (${caveat})` : ''}`;
}

function own<T>(record: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}

export { sourceText as codeSource };
