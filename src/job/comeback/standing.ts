import type { Resolution } from '../../resolve/resolve.ts';
import type { Line, Verdict } from '../../resolve/result.ts';
import type { FollowUp } from '../../rulebook/rulebook.ts';
import type { CAUSE_KINDS } from '../values.ts';

export type CauseKind = (typeof CAUSE_KINDS)[number];

/** A sentence, and where the record has it; without an event it follows from the rules. */
export interface Evidence {
  readonly text: string;
  readonly event?: string;
  readonly by?: string;
  readonly at?: string;
}

/** What is known of one follow-up before the complaint is heard. */
export interface Standing {
  readonly followUp: FollowUp;
  readonly kind: CauseKind;
  /** How often such a one is the cause, beside one that is called for and of which nothing is known: 1. */
  readonly odds: number;
  /** The job calls for it, or may; only such a one is ever told as sure. */
  readonly called: boolean;
  /** Written only for the few that are told. */
  readonly evidence: () => readonly Evidence[];
}

/** How likely the work itself makes it: surely or perhaps called for, by a line of the order or by way of others. */
export function oddsOf(verdict: Verdict): number {
  const { followUp, kind, level, causes, coveredBy } = verdict;
  const sure = kind === 'needed' ? (level === 'required' ? 1 : 0.85) : 0.7;
  const nearest = Math.max(0.5, ...causes.map(nearness));
  return sure * nearest * roleOf(followUp) * (coveredBy ? 0.8 : 1);
}

function nearness(cause: Verdict['causes'][number]): number {
  if (cause.kind === 'pull') return 0.5;
  if (!cause.line) return 1;
  return cause.line.origin.kind === 'order' ? 1 : Math.max(0.6, 0.85 ** depth(cause.line));
}

function depth(line: Line): number {
  return line.origin.kind === 'implied' ? 1 + depth(line.origin.parent) : line.origin.kind === 'order' ? 0 : 2;
}

/** What was to be done before the work seldom shows by itself; reading codes shows nothing of its own. */
export function roleOf({ phase, system, text }: FollowUp): number {
  const before = phase === 'after' ? 1 : 0.55;
  const codes = system === 'codes' && text.kind !== 'relearn' ? 0.4 : 1;
  return before * codes;
}

/** Why it is called for, as a sentence. */
export function calledFor(verdict: Verdict, lineOf: (line: Line) => string): Evidence {
  const cause = verdict.causes[0];
  if (!cause) return { text: 'it belongs to this work' };
  if (cause.kind === 'pull') return { text: `called for by ${cause.by.title}` };
  if (cause.code) return { text: `code ${cause.code} calls for it` };
  const may = verdict.kind === 'undecided' ? 'may call for it' : 'calls for it';
  return { text: `${lineOf(cause.line as Line)} ${may}: ${cause.trigger.because}` };
}

/** Ends with the owner by every way that is open on this car: it comes right by itself. */
export function endsWithOwner(followUp: FollowUp, { ways }: Resolution): boolean {
  const open = ways.get(followUp.id)?.open ?? [];
  return open.length > 0 && open.every((way) => way.finish === 'owner');
}
