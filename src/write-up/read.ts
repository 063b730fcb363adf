import type { Rulebook } from '../rulebook/rulebook.ts';
import { lexiconOf } from './lexicon.ts';
import { readLine } from './line.ts';
import type { Reading } from './reading.ts';
import type { Mended } from './words.ts';

const MOST_LINES = 2_000;

/**
 * Reads pasted lines of a repair order: what work they name, and why the rest names none. Proposals only: each is for a
 * person to tick. Every line is read by itself.
 * @param market as in a job file; without it a driver's side is asked for
 */
export function readLines(text: string, rulebook: Rulebook, market?: string): Reading {
  const lexicon = lexiconOf(rulebook);
  if (!lexicon) return { lines: [], unread: 0 };
  const sides = lexicon.words['driver-sits'];
  const sits = market !== undefined && Object.hasOwn(sides, market) ? sides[market] : undefined;
  const all = text.split(/\r\n|[\n\r\u2028\u2029]/);
  const mended: Mended = new Map();
  const lines = all
    .slice(0, MOST_LINES)
    .flatMap((line, at) => (line.trim() === '' ? [] : [readLine(line, at + 1, lexicon, sits, mended)]));
  return { lines, unread: all.slice(MOST_LINES).filter((line) => line.trim() !== '').length };
}
