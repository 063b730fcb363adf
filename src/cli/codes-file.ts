import { join } from 'node:path';
import { parseJson, shaped } from '../rulebook/read.ts';
import type { Fault } from '../rulebook/fault.ts';
import { CodesFile, type CodeBook } from '../rulebook/code-book.ts';
import { readText, Unusable } from './input.ts';

/** What is known of codes, from the rulebook's folder. Throws Unusable. */
export async function codeBookIn(folder: string): Promise<CodeBook> {
  const file = join(folder, 'codes.json');
  const faults: Fault[] = [];
  const value = parseJson(file, await readText(file), faults);
  const book = faults.length > 0 ? undefined : shaped(file, value, true, CodesFile, faults);
  if (!book) throw new Unusable(faults);
  return book;
}
