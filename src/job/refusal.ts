/** Why the car may not go. */
export interface Refusal {
  readonly rule:
    | 'not-opened'
    | 'no-work'
    | 'work-not-done'
    | 'open'
    | 'unproved'
    | 'unconfirmed'
    | 'not-closed'
    | 'not-done'
    | 'two-answers'
    | 'was-it-done'
    | 'undecided'
    | 'cannot-tell'
    | 'must-not'
    | 'new-code'
    | 'lamps'
    | 'new-lamp'
    | 'unchecked';
  /** The step, state, code, lamp, question or check that it is about. */
  readonly item: string;
  readonly safety: boolean;
  /** One sentence: the item, and what would settle it. */
  readonly text: string;
  /** Commands, any one of which settles exactly this; what they lay bare may be refused in its turn. */
  readonly settle: readonly Settle[];
}

export type Settle =
  | { readonly type: 'opened' | 'line-added' | 'work-done' | 'scanned' }
  | {
      readonly type:
        | 'took'
        | 'closed'
        | 'returned'
        | 'ruled-out'
        | 'not-done'
        | 'left-unfinished'
        | 'started'
        | 'sent-back';
      readonly step: string;
    }
  | { readonly type: 'state-ended'; readonly state: string }
  | { readonly type: 'noted'; readonly step: string; readonly key: string }
  | { readonly type: 'answer-chosen'; readonly step: string; readonly events: readonly string[] }
  | { readonly type: 'answered'; readonly question: string }
  | { readonly type: 'explained'; readonly code?: string; readonly lamp?: string }
  | { readonly type: 'lamps'; readonly when: 'intake' | 'release' }
  | { readonly type: 'checked'; readonly item: string };
