import { NEVER } from '../../rulebook/condition.ts';
import type { Resolution } from '../../resolve/resolve.ts';
import { reaches } from '../../rulebook/rulebook.ts';
import type { ElsewhereRow } from '../../rulebook/tables.ts';
import { speaks } from '../speaks.ts';
import { codesElsewhere, codesFor, type CodeSays, type ReadCodes } from './codes.ts';
import { likeness, type Likeness } from './likeness.ts';
import type { Complaint, Signs } from './signs.ts';
import type { Standing } from './standing.ts';
import { timing } from './timing.ts';

/** What a cause is weighed against. */
export interface Heard {
  readonly complaint: Complaint;
  readonly days?: number | undefined;
  readonly read: ReadCodes;
  readonly signs: Signs;
  readonly resolution: Resolution;
  /** How many cars each follow-up has brought back to this shop. */
  readonly cameBack: ReadonlyMap<string, number>;
}

/** A cause with what speaks for it: its weight is odds times likeness, time and codes. */
export interface Weighed {
  readonly id: string;
  readonly weight: number;
  readonly like: Likeness;
  readonly code: CodeSays;
  readonly when: ReturnType<typeof timing>;
  readonly of: { readonly standing: Standing } | Elsewhere;
  /** Places in the follow-up's `skipped` that speak of this car. */
  readonly places: readonly number[];
}

export interface Elsewhere {
  readonly row: ElsewhereRow;
  /** Its own part, where the job worked on it. */
  readonly worked?: string;
}

/** How much one unit of likeness counts; tuned on the half of tests/cases/comebacks that is not kept back. */
const WORDS = 0.62;
/** Odds and likeness of "none of these": a complaint has to be told better than this. */
const NONE = { odds: 0.6, likeness: 4 };
/** Of what is no follow-up, beside one follow-up that is called for; more where its own part was worked on. */
const ELSEWHERE = { odds: 0.3, withPart: 2 };
/** A code that nothing on this job explains speaks for something else. */
const UNEXPLAINED_CODE = 6;
/** Twice the odds for what has brought three cars back. */
const LEARNED = 0.5;
/** What neither words nor codes speak of stays a cause, for a complaint seldom says all. */
const UNSPOKEN = 0.2;

export function weighFollowUp(standing: Standing, heard: Heard): Weighed {
  const { followUp, odds } = standing;
  const { complaint, signs, resolution, read } = heard;
  const { skipped } = followUp.text;
  const places = skipped.flatMap((row, i) => (speaks(row, resolution) === NEVER ? [] : [i]));
  const phrases = (signs.followUps.get(followUp.id) ?? []).filter((p) => p.row < 0 || places.includes(p.row));
  const like = likeness(complaint, phrases, signs);
  const code = codesFor(
    followUp,
    places.flatMap((i) => skipped[i] ?? []),
    read,
  );
  const row = skipped[Math.max(0, like.nearest?.row ?? 0)];
  const learned = 1 + LEARNED * Math.log2(1 + (heard.cameBack.get(followUp.id) ?? 0));
  const spoken = like.nearest || code.named.length > 0 ? 1 : UNSPOKEN;
  const when = row ? timing(row['sets-in'], heard.days) : { factor: 1 };
  return {
    id: followUp.id,
    weight: odds * learned * when.factor * Math.exp(WORDS * like.value) * code.factor * spoken,
    like,
    code,
    when,
    of: { standing },
    places,
  };
}

export function weighElsewhere(heard: Heard): Weighed[] {
  const { complaint, signs, read, resolution } = heard;
  const { rulebook, lines } = resolution;
  return Object.entries(rulebook.complaints?.elsewhere ?? {}).map(([id, row]): Weighed => {
    const like = likeness(complaint, signs.elsewhere.get(id) ?? [], signs);
    const code = codesElsewhere(row, read);
    const line = lines.find((l) => row.parts?.includes(l.part) && !reaches('inspected', l.did));
    return {
      id,
      weight: ELSEWHERE.odds * (line ? ELSEWHERE.withPart : 1) * Math.exp(WORDS * like.value) * code.factor,
      like,
      code,
      when: { factor: 1 },
      of: { row, ...(line ? { worked: rulebook.parts.get(line.part)?.text.title ?? line.part } : {}) },
      places: [],
    };
  });
}

/** The weight of "none of these". */
export function weighNone(unexplained: number): number {
  return NONE.odds * Math.exp(WORDS * NONE.likeness) * UNEXPLAINED_CODE ** unexplained;
}
