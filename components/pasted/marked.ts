import type { ReadLine, Span } from '../../src/write-up/reading.ts';

/** A stretch of a line: what it rests on is underlined, and `letters` of proposals stand before their names. */
export interface Stretch {
  readonly text: string;
  readonly marked: boolean;
  readonly letters: readonly string[];
}

/** A line of text cut where words begin and end that its proposals rest on. */
export function stretches({ text, proposals }: ReadLine, letters: readonly string[]): Stretch[] {
  const spans = proposals.flatMap(({ words }) => words);
  const cuts = [
    0,
    text.length,
    ...spans.flatMap(({ from, to }) => [from, to]),
    ...proposals.map(({ named }) => named.from),
  ];
  const at = [...new Set(cuts)].sort((a, b) => a - b);
  return at.slice(0, -1).map((from, i) => ({
    text: text.slice(from, at[i + 1]),
    marked: spans.some((span) => holds(span, from)),
    letters: letters.filter((_, n) => proposals[n]?.named.from === from),
  }));
}

function holds({ from, to }: Span, at: number): boolean {
  return from <= at && at < to;
}

/** a, b, ... z, aa, ab: the letter of the nth proposal, from 0. */
export function letterOf(n: number): string {
  const last = String.fromCharCode(97 + (n % 26));
  return n < 26 ? last : letterOf(Math.floor(n / 26) - 1) + last;
}
