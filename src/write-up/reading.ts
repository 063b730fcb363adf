import type { Did } from '../rulebook/schema.ts';
import type { PASSES } from '../rulebook/tables.ts';

/** A stretch of a line's text: from its first character up to, not including, `to`. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** What a person has to say before the proposal is whole. */
export interface Ask {
  readonly about: 'part' | 'did' | 'place';
  readonly question: string;
  /** Ids of parts, dids, or positions. */
  readonly choices: readonly string[];
}

export type Sure = 'clear' | 'likely' | 'look again';

/** A work line that the text seems to name. It is nothing until a person ticks it. */
export interface Proposal {
  /** null: the words fit several parts; asked. */
  readonly part: string | null;
  /** null: nothing says what was done; asked. */
  readonly did: Did | null;
  readonly at: readonly string[];
  readonly asks: readonly Ask[];
  /** From the first to the last word of the part's name. */
  readonly named: Span;
  /** The words it rests on, in order, none overlapping. */
  readonly words: readonly Span[];
  /** From 0 to 1. */
  readonly confidence: number;
  readonly sure: Sure;
  /** Why it is less than clear. */
  readonly doubts: readonly string[];
}

export type PassKind = (typeof PASSES)[number] | 'unknown-part' | 'too-long';

/** A piece of a line that gives no work line, and why. */
export interface Passed {
  readonly kind: PassKind;
  readonly because: string;
  readonly words: Span;
}

export interface ReadLine {
  /** From 1, as pasted. */
  readonly number: number;
  readonly text: string;
  readonly proposals: readonly Proposal[];
  readonly passed: readonly Passed[];
}

export interface Reading {
  /** Blank lines are left out. */
  readonly lines: readonly ReadLine[];
  /** Lines behind the most that are read. */
  readonly unread: number;
}

export const PASS_WORDS: Readonly<Record<PassKind, string>> = {
  declined: 'declined, or not done',
  advice: 'advice, not work that was done',
  complaint: 'what the customer says, or a wish',
  finding: 'what was found, not what was done',
  price: 'a part and its price',
  sum: 'labour or a sum',
  heading: 'a heading',
  beside: 'named beside the work: the way to it, its place or its cause',
  'follow-up': 'a follow-up: the sheet calls for it by itself where it is due',
  'no-work': 'names no work on a part',
  'unknown-part': 'no such part here',
  'too-long': 'too long: only its beginning was read',
};
