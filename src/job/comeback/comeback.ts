import type { Facts } from '../../resolve/facts.ts';
import { resolve, type Resolution } from '../../resolve/resolve.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { RuleCount } from '../learning.ts';
import type { Job } from '../state.ts';
import { bareStandings } from './bare.ts';
import { recordStandings } from './record.ts';
import { type Complaint, signsOf } from './signs.ts';
import { type Cause, causeOf } from './cause.ts';
import type { Standing } from './standing.ts';
import { type Apart, tellApart } from './tell-apart.ts';
import { type Heard, type Weighed, weighElsewhere, weighFollowUp, weighNone } from './weigh.ts';

export type { Bears, Cause } from './cause.ts';

/** "It came back": what the owner says, what was read, and how long after hand-over. */
export interface Back {
  readonly says: string;
  readonly codes?: readonly string[] | undefined;
  readonly days?: number | undefined;
}

/** What is known beside the job. */
export interface Beside {
  /** What finished jobs of this shop have taught: what brought cars back before is likelier. */
  readonly learned?: { readonly rules: readonly Pick<RuleCount, 'followUp' | 'cameBack'>[] } | undefined;
}

/** The job it came back from: its own record, or the bare facts where there is none. */
export type Against = { readonly job: Job } | { readonly facts: Facts };

export interface Comeback {
  /** Likeliest first. */
  readonly causes: readonly Cause[];
  /**
   * The first one is a follow-up that is likely enough, and so much ahead, that it may be told as the answer. Never by
   * words alone: a record or a code has to bear witness.
   */
  readonly sure: boolean;
  /** The test to begin with: it tells the causes apart. */
  readonly first?: Apart;
  /** None of these: diagnose afresh. */
  readonly afresh: {
    readonly advised: boolean;
    readonly chance: number;
    /** From this chance on it is advised; also where it is three times as likely as the first cause. */
    readonly threshold: number;
    readonly because: string;
  };
  readonly heard: { readonly signs: readonly string[]; readonly unknown: readonly string[] };
}

export const SURE = { chance: 0.62, ahead: 3, share: 0.4 };
export const AFRESH = { chance: 0.5, ahead: 3 };
/**
 * Of the cars that come back with a complaint that fits, this share has something else for all that: more where only
 * words are told, fewer where a record or a code bears witness. A stated guess, no source; outcomes on record will tell.
 */
const OTHER_SHARE = { told: 0.2, witnessed: 0.08 };
const MOST_CAUSES = 5;
/** Behind the first three, what is less likely than this is not told. */
const WORTH_TELLING = 0.02;

/** Ranks what may have brought the car back. Pure; throws where the rulebook has no table of complaints. */
export function comeback(back: Back, against: Against, rulebook: Rulebook, beside: Beside = {}): Comeback {
  const signs = signsOf(rulebook);
  const complaint = signs.complaint(back.says);
  const { standings, resolution } = standingsOf(against, rulebook);
  const read = {
    codes: back.codes ?? [],
    book: rulebook.codeBook,
    makers: (resolution.known.possible('maker') ?? []).map(String),
  };
  const cameBack = new Map(beside.learned?.rules.map((rule) => [rule.followUp, rule.cameBack]));
  const heard: Heard = { complaint, days: back.days, read, signs, resolution, cameBack };
  const missed = standings.map((standing) => weighFollowUp(standing, heard));
  const other = weighElsewhere(heard);
  const all = [...missed, ...other].sort((a, b) => b.weight - a.weight || (a.id < b.id ? -1 : 1));
  const unexplained = read.codes.filter((code) => !all.some((one) => one.code.named.includes(code)));
  const witnessed = 'job' in against || read.codes.length > unexplained.length;
  const spread = total(all);
  const none =
    weighNone(unexplained.length) +
    (spread * OTHER_SHARE[witnessed ? 'witnessed' : 'told']) / (1 - OTHER_SHARE[witnessed ? 'witnessed' : 'told']);
  const sum = none + spread;
  const ranked = all.slice(0, MOST_CAUSES).filter(({ weight }, i) => i < 3 || weight / sum >= WORTH_TELLING);
  const causes = ranked.map((one) => causeOf(one, one.weight / sum, heard));
  const afresh = afreshOf(none / sum, causes, unexplained, complaint);
  const first = tellApart(causes);
  return {
    causes,
    sure: witnessed && !afresh.advised && isSure(ranked, sum, other),
    ...(first ? { first } : {}),
    afresh,
    heard: { signs: signNames(complaint), unknown: complaint.unknown },
  };
}

function standingsOf(against: Against, rulebook: Rulebook): { standings: Standing[]; resolution: Resolution } {
  if ('job' in against) {
    const { standings, situation } = recordStandings(against.job, rulebook);
    return { standings, resolution: situation.resolution };
  }
  const resolution = resolve(against.facts, rulebook);
  return { standings: bareStandings(resolution), resolution };
}

/** Only a follow-up that the job calls for, of which most of the complaint speaks, well ahead of all else. */
function isSure([first, second]: readonly Weighed[], sum: number, other: readonly Weighed[]): boolean {
  // A code that something else has as well bears nothing out: a belt a tooth out shows like a belt that was not learned.
  const shared = other.some(({ code }) => code.named.some((name) => first?.code.named.includes(name)));
  return (
    !shared &&
    first !== undefined &&
    'standing' in first.of &&
    first.of.standing.called &&
    first.weight / sum >= SURE.chance &&
    first.weight >= SURE.ahead * Math.max(second?.weight ?? 0, total(other)) &&
    (first.like.share >= SURE.share || first.code.named.length > 0)
  );
}

function afreshOf(
  chance: number,
  [first]: readonly Cause[],
  unexplained: readonly string[],
  complaint: Complaint,
): Comeback['afresh'] {
  const advised = chance >= AFRESH.chance || !first || chance > AFRESH.ahead * first.chance;
  const because =
    unexplained.length > 0
      ? `nothing on this job explains ${unexplained.join(', ')}`
      : complaint.unknown.length > 0 && complaint.terms.size === 0
        ? 'none of the words is one that the rulebook knows'
        : advised
          ? 'what was said is not what one notices when a follow-up of this job is missed'
          : 'if no test shows any of these';
  return { advised, chance, threshold: AFRESH.chance, because };
}

function signNames({ terms }: Complaint): string[] {
  return [...terms.keys()]
    .filter((term) => term.startsWith('#'))
    .map((term) => term.slice(1))
    .sort();
}

function total(weighed: readonly Weighed[]): number {
  return weighed.reduce((sum, { weight }) => sum + weight, 0);
}
