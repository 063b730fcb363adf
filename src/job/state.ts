import type { JobFile, TraitAnswer, WorkLineText } from '../resolve/facts.ts';
import type { z } from 'zod';
import type { ReadinessTold } from './codes/readiness-told.ts';
import type { EventOf } from './events.ts';
import type { Flip, NOT_DONE, ReadingValue } from './values.ts';

/** A job as its events leave it. Plain data, never changed in place. */
export interface Job {
  readonly status: 'unopened' | 'open' | 'released' | 'left-unfinished';
  readonly ro: string;
  /** Version of the rulebook the job is pinned to. */
  readonly rulebook: string;
  readonly units: 'metric' | 'us';
  readonly tools?: readonly string[];
  /** What brought a car back, as it turned out; the last one counts. */
  readonly outcomes: readonly (Mark & Outcome)[];
  /** Steps that were wrong on this list, or missing from it: for the keeper of the rules. */
  readonly itemNotes: readonly (Mark & ItemNote)[];
  readonly cameBack?: { readonly ro: string; readonly rulebook: string; readonly complaint: string };
  readonly vehicle: Omit<NonNullable<JobFile['vehicle']>, 'traits'>;
  readonly traits: ReadonlyMap<string, z.infer<typeof TraitAnswer>>;
  /** By trait, who told it last, or took it back. */
  readonly traitsTold: ReadonlyMap<string, Mark>;
  /** By trait or question, answers given without knowledge of each other: until somebody looks again none stands. */
  readonly disputed: ReadonlyMap<string, readonly Answered[]>;
  /** In the order they were added, struck ones too. */
  readonly lines: readonly Line[];
  /** By question; "at:" questions name the line by its id, not by its place. */
  readonly answers: ReadonlyMap<string, Mark & { readonly answer: string | number | null }>;
  readonly workDone?: Mark;
  /** When the owner was told that the car can go. */
  readonly promised?: string;
  /** Where in the shop it stands. */
  readonly parked?: string;
  readonly steps: ReadonlyMap<string, StepRecord>;
  readonly ruledOut: ReadonlyMap<string, Mark & { readonly photo: string; readonly because: string }>;
  readonly scans: { readonly before?: Scan; readonly after?: Scan };
  /** Every code that any scan showed. */
  readonly codes: ReadonlySet<string>;
  /** The last time that somebody cleared codes though no step asked for it. */
  readonly cleared?: Mark;
  readonly readiness: { readonly before?: ReadinessRead; readonly after?: ReadinessRead };
  readonly lamps: { readonly intake?: Lamps; readonly release?: Lamps };
  /** By "code:P0123" or "lamp:airbag". */
  readonly explained: ReadonlyMap<string, Mark & { readonly because: string }>;
  /** State to the moment since which it no longer holds. */
  readonly lapsed: ReadonlyMap<string, Mark>;
  /** State that the car must not leave with, to when somebody showed that it has it no longer. */
  readonly ended: ReadonlyMap<string, Mark & { readonly photo: string; readonly because: string }>;
  readonly checks: ReadonlyMap<string, Mark & { readonly value: ReadingValue; readonly independent: boolean }>;
  readonly photos: ReadonlyMap<string, Mark & { readonly step?: string; readonly shows?: string }>;
  readonly setUpLeft?: Mark & { readonly setup: Readonly<Record<string, string>>; readonly note?: string };
  /** Verdicts that a correction, new work or an answer turned round, newest last. */
  readonly flips: readonly (Flip & Mark)[];
  /** The last step that was finished, for whoever opens the job again. */
  readonly lastStep?: Mark & { readonly step: string };
  /** The last time anybody's hands were on the car. */
  readonly touched: number;
  readonly ending?: EventOf<'released'> | EventOf<'left-unfinished'>;
  /** Ids of all events, so that sending twice is harmless. */
  readonly seen: ReadonlySet<string>;
  /** How many events there were. */
  readonly seq: number;
}

/** Which event said it: its place in the log decides what came after what, for tablets' clocks differ. */
export interface Mark {
  readonly seq: number;
  readonly event: string;
  readonly at: string;
  readonly by: string;
  /** On which it was said, where it told so. */
  readonly tablet?: string;
}

/** An answer to a question, and whose. */
export interface Answered extends Mark {
  readonly answer: z.infer<typeof TraitAnswer> | undefined;
}

/** Another word on how a step ended, said without knowledge of the first. */
export interface Rival extends Mark {
  readonly word: 'took' | 'did-not-take' | 'not-done';
  readonly values: ReadonlyMap<string, ReadingValue>;
  readonly way?: string;
  readonly why?: string;
  readonly notDone?: StepRecord['notDone'];
}

export interface Line extends Mark {
  readonly id: string;
  readonly text: z.infer<typeof WorkLineText>;
  readonly struck?: Mark & { readonly because: string };
}

export type Outcome = Pick<EventOf<'outcome-told'>, 'cause' | 'followUp' | 'note'>;
export type ItemNote = Pick<EventOf<'item-noted'>, 'step' | 'was' | 'note'>;

export type Stage = 'open' | 'running' | 'took' | 'did-not-take' | 'stuck' | 'sent-out' | 'waiting' | 'not-done';

export interface StepRecord extends Mark {
  readonly stage: Stage;
  readonly way?: string;
  readonly startedAt?: Mark;
  /** Since it was last begun. */
  readonly values: ReadonlyMap<string, ReadingValue>;
  readonly tries: number;
  readonly took?: Mark;
  /** Other words on how it ended: a person says which stands. */
  readonly rivals?: readonly Rival[];
  /** Begun by somebody who did not know that it had ended: not a round of its own. */
  readonly beside?: Mark;
  readonly closed?: Mark;
  readonly why?: string;
  readonly sentOut?: { readonly firm: string; readonly on: string };
  readonly paper?: string;
  readonly waiting?: { readonly part: string; readonly promised: string };
  readonly notDone?: { readonly reason: (typeof NOT_DONE)[number]; readonly note?: string };
  /** When anything that a check is about last changed: figures noted later are not the figures that were checked. */
  readonly changed: number;
  readonly sentBack?: Mark & { readonly because: string };
  /** All who had a hand in it: none of them checks it. */
  readonly hands: ReadonlySet<string>;
}

export interface Scan extends Mark {
  readonly codes: EventOf<'scanned'>['codes'];
}

export interface ReadinessRead extends Mark, ReadinessTold {}

export interface Lamps extends Mark {
  /** null = nobody looked. */
  readonly lit: readonly string[] | null;
}

export const UNOPENED: Job = {
  status: 'unopened',
  ro: '',
  rulebook: '',
  units: 'metric',
  outcomes: [],
  itemNotes: [],
  vehicle: {},
  traits: new Map(),
  traitsTold: new Map(),
  disputed: new Map(),
  lines: [],
  answers: new Map(),
  steps: new Map(),
  ruledOut: new Map(),
  scans: {},
  codes: new Set(),
  readiness: {},
  lamps: {},
  explained: new Map(),
  lapsed: new Map(),
  ended: new Map(),
  checks: new Map(),
  photos: new Map(),
  flips: [],
  touched: 0,
  seen: new Set(),
  seq: 0,
};

export function sameTrait(a: z.infer<typeof TraitAnswer> | undefined, b: z.infer<typeof TraitAnswer>): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** The foreman settled it with evidence, and nothing was said of it since. */
export function isRuledOut(job: Job, step: string): boolean {
  const said = Math.max(job.steps.get(step)?.seq ?? 0, job.answers.get(`done:${step}`)?.seq ?? 0);
  return (job.ruledOut.get(step)?.seq ?? 0) > said;
}
