import type { CallLevel, Question } from './resolve/result.ts';
import type { Phase } from './rulebook/schema.ts';

/** One thing to do, in its place. Plain data: the same object is printed, sent and drawn. */
export interface Step {
  /** The follow-up's id; a repeat carries "#2", "#3" ... behind it. */
  readonly id: string;
  readonly followUp: string;
  readonly title: string;
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly phase: Phase;
  /** The way it is planned with, and all that are possible on this car. */
  readonly way: string;
  readonly ways: readonly string[];
  readonly tool: string;
  /** The whole set-up in force while it is done, and what to change on the car before it. */
  readonly setup: Readonly<Record<string, string>>;
  readonly change: readonly Change[];
  /** Sentences: the work, the chain, the trait, the maker. */
  readonly because: readonly string[];
  /** The same as a tree, for screens that fold it. */
  readonly causes: readonly CauseNode[];
  /** Ids of the steps that come first, each with its reason. */
  readonly waitsFor: readonly string[];
  readonly waits: readonly { readonly step: string; readonly because: string; readonly perhaps?: boolean; readonly within?: string; readonly later?: string }[];
  readonly minutes: { readonly hands: number; readonly wait: number; readonly ask?: string };
  /** Positions, one box each; empty = once. */
  readonly boxes: readonly string[];
  /** Follow-ups done within this one; their own proof is still asked. */
  readonly covers: readonly { readonly followUp: string; readonly title: string; readonly because: readonly string[] }[];
  /** Asked in its entry: states nobody set on this job. */
  readonly confirms: readonly { readonly question: string; readonly state: string; readonly text: string }[];
  /** The line on the repair order that is this step. */
  readonly onOrder?: string;
  readonly finish: 'shop' | 'owner';
  /** Steps of one number could not be ordered: the maker's order decides. */
  readonly block?: number;
  /** Questions on which its place in the order rests. */
  readonly orderWaitsFor?: readonly string[];
  /** Once the work is done, an earlier phase's step turns into "was it done?". */
  readonly asked?: 'open' | 'yes' | 'no' | 'cannot-tell';
}

export interface Change {
  readonly dimension: string;
  readonly from: string;
  readonly to: string;
  readonly minutes: number;
}

export interface CauseNode {
  readonly text: string;
  readonly sources: readonly string[];
  readonly causes: readonly CauseNode[];
}

export interface Undecided {
  readonly followUp: string;
  readonly title: string;
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly phase: Phase;
  /** Ids of the questions whose answer could settle it. */
  readonly decides: readonly string[];
  readonly because: readonly string[];
  /** Steps it would come after, and before: where it will stand if needed. */
  readonly after: readonly string[];
  readonly before: readonly string[];
}

export interface Checklist {
  readonly ro: string;
  readonly rulebook: string;
  readonly steps: readonly Step[];
  readonly undecided: readonly Undecided[];
  readonly excluded: readonly { readonly followUp: string; readonly title: string; readonly because: string }[];
  readonly questions: readonly Question[];
  /** Work that follows from the lines, with its chain; `maybe` ones are also questions. */
  readonly implied: readonly { readonly part: string; readonly did: string; readonly at?: readonly string[]; readonly because: string; readonly chain: readonly string[]; readonly maybe: boolean; readonly question?: string }[];
  /** In plain words: steps that wait for each other in a ring. */
  readonly cycles: readonly { readonly block: number; readonly steps: readonly string[]; readonly text: string }[];
  /** Minutes. Waits that end with the owner are not counted; an unread wait counts with the least that is usual. */
  readonly time: { readonly hands: number; readonly changes: number; readonly waiting: number; readonly total: number };
  readonly proved: boolean;
  readonly gap: number;
}
