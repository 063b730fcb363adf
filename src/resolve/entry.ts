import type { FollowUp, State } from '../rulebook/rulebook.ts';
import type { Judgement } from './judge.ts';
import type { Kind, Pulled } from './result.ts';
import type { Hit } from './work.ts';

/** What has been found of one follow-up so far. */
export interface Entry {
  readonly followUp: FollowUp;
  hits: Hit[];
  /** Hits came or went since it was judged. */
  stale: boolean;
  /** Pulls came or went since it was settled. */
  pulled: boolean;
  own: Judgement;
  readonly pulls: Map<string, Pull>;
  kind: Kind;
  required: boolean;
}

/** A step brought onto the list by another one, by way of a state. */
export interface Pull {
  readonly by: FollowUp;
  readonly state: State;
  readonly how: Pulled;
  readonly sure: boolean;
  readonly required: boolean;
  readonly because?: string;
  /** Questions it rests on, beside those of the puller. */
  readonly decides: readonly string[];
}
