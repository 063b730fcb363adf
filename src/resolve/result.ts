import type { FollowUp, State, Trigger } from '../rulebook/rulebook.ts';
import type { Did } from '../rulebook/schema.ts';

/** What resolve answers. Trees and names only; words come from print.ts. */

export type Kind = 'needed' | 'excluded' | 'undecided';
export type CallLevel = 'required' | 'recommended';

/** Work that was done: written on the repair order, following from another line, or part of a step. */
export interface Line {
  readonly part: string;
  readonly did: Did;
  readonly at?: readonly string[];
  readonly by: string;
  readonly origin:
    | { readonly kind: 'order'; readonly index: number }
    | {
        readonly kind: 'implied';
        readonly parent: Line;
        readonly because: string;
        readonly maybe: boolean;
        readonly sources: readonly string[];
      }
    | { readonly kind: 'step'; readonly step: FollowUp; readonly level: CallLevel };
}

/** A trait or fact of the car that an answer rests on. */
export interface TraitUse {
  readonly trait: string;
  readonly values?: readonly (string | number)[];
  readonly by?: string;
}

/** Why a follow-up is, or may be, on the list. */
export type Cause =
  | {
      readonly kind: 'call';
      readonly sure: boolean;
      readonly line?: Line;
      readonly code?: string;
      readonly trigger: Trigger;
      readonly traits: readonly TraitUse[];
    }
  | {
      readonly kind: 'pull';
      readonly sure: boolean;
      readonly how: Pulled;
      readonly by: FollowUp;
      readonly state: State;
      readonly because?: string;
    };

/**
 * upset: the puller upsets a state that must hold; undo: the puller leaves a state that must not; absent: the state
 * has to be made for the puller; answered-no: somebody said it does not hold; missed: its before-step was not done.
 */
export type Pulled = 'upset' | 'undo' | 'absent' | 'answered-no' | 'missed';

export interface Verdict {
  readonly followUp: FollowUp;
  readonly kind: Kind;
  /** The strongest still possible. */
  readonly level: CallLevel;
  readonly safety: boolean;
  readonly causes: readonly Cause[];
  /** Questions whose answer could settle it; empty unless undecided. */
  readonly decides: readonly string[];
  /** Questions on which the level of a needed one turns. */
  readonly grades: readonly string[];
  /** Done within another needed step. */
  readonly coveredBy?: FollowUp;
  /** The repair order's own line is this step. */
  readonly onOrder?: Line;
  /** Where on the car it is to be done, one box each; empty = once. */
  readonly boxes: readonly string[];
  /** A before- or apart-step once the work is done: was it done? */
  readonly asked?: 'open' | 'yes' | 'no' | 'cannot-tell';
}

export interface Question {
  /** Trait id, car fact, or "did:…", "at:…", "done:…", "holds:…". */
  readonly id: string;
  readonly kind: 'trait' | 'car' | 'did' | 'at' | 'done' | 'holds' | 'way';
  readonly text: string;
  readonly howToTell?: string;
  /** Allowed answers with their wording; empty = free (a number or a word). */
  readonly answers: readonly { readonly value: string; readonly text: string }[];
  /** Follow-ups (ids) that some answer settles, or whose way or order it decides. */
  readonly settles: readonly string[];
  readonly safety: boolean;
  /** What most cars like this one have: a suggestion to be marked as such, never taken as known. */
  readonly likely?: { readonly value: string; readonly because: string };
  readonly answered?: string;
}
