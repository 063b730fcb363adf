import { NEVER } from '../../rulebook/condition.ts';
import type { Facts } from '../../resolve/facts.ts';
import { resolve, type Resolution } from '../../resolve/resolve.ts';
import { reaches, type Rulebook } from '../../rulebook/rulebook.ts';
import type { CodeBook } from '../../scan/schema.ts';
import { speaks } from '../speaks.ts';
import type { Job } from '../state.ts';
import { bareStandings } from './bare.ts';
import { codesElsewhere, codesFor, type ReadCodes } from './codes.ts';
import { likeness } from './likeness.ts';
import { recordStandings } from './record.ts';
import { type Complaint, signsOf, type Signs } from './signs.ts';
import type { CauseKind, Evidence, Standing } from './standing.ts';
import { type Apart, type Test, tellApart, testsOf } from './tell-apart.ts';
import { timing } from './timing.ts';

/** "It came back": what the owner says, what was read, and how long after hand-over. */
export interface Back {
  readonly says: string;
  readonly codes?: readonly string[];
  readonly days?: number;
}

/** The job it came back from: its own record, or the bare facts where there is none. */
export type Against = { readonly job: Job } | { readonly facts: Facts };

export interface Cause {
  /** Id of the follow-up; of the row where it is something else. */
  readonly id: string;
  readonly title: string;
  readonly kind: CauseKind;
  /** 0 to 1, together with all other causes and with "none of these". */
  readonly chance: number;
  /** Facts that speak for it. */
  readonly because: readonly string[];
  /** Facts that speak against it. */
  readonly against: readonly string[];
  /** From the record, with event, name and time, or from the rules. */
  readonly evidence: readonly Evidence[];
  readonly tests: readonly Test[];
}

export interface Comeback {
  /** Likeliest first. */
  readonly causes: readonly Cause[];
  /** The first one is likely enough, and so much ahead, that it may be told as the answer. */
  readonly sure: boolean;
  /** The first test, which tells the causes apart. */
  readonly first?: Apart;
  readonly afresh: {
    /** None of these: diagnose afresh. */
    readonly advised: boolean;
    readonly chance: number;
    readonly threshold: number;
    readonly because: string;
  };
  readonly heard: { readonly signs: readonly string[]; readonly unknown: readonly string[] };
}

/** How much one unit of likeness counts; tuned on the half of tests/cases/comebacks that is not kept back. */
const WORDS = 0.62;
/** Odds and likeness of "none of these": a complaint has to be told better than this. */
const NONE = { odds: 0.6, likeness: 4 };
/** Of all that a rulebook knows of which is no follow-up, beside one follow-up that is called for. */
const ELSEWHERE = { odds: 0.3, withPart: 2 };
/** A code that nothing on this job explains speaks for something else. */
const UNEXPLAINED_CODE = 6;
export const SURE = { chance: 0.55, ahead: 2, share: 0.4 };
export const AFRESH = 0.4;
const MOST_CAUSES = 5;

/** Ranks what may have brought the car back. Pure; throws where the rulebook has no table of complaints. */
export function comeback(back: Back, against: Against, rulebook: Rulebook, book?: CodeBook): Comeback {
  const signs = signsOf(rulebook);
  const complaint = signs.complaint(back.says);
  const { standings, resolution } = standingsOf(against, rulebook);
  const read: ReadCodes = { codes: back.codes ?? [], book, makers: makersOf(resolution) };
  const missed = standings.map((standing) => weighFollowUp(standing, back, complaint, signs, read, resolution));
  const other = weighElsewhere(complaint, signs, read, resolution);
  const unexplained = read.codes.filter((code) => ![...missed, ...other].some((cause) => cause.named.includes(code)));
  const none = NONE.odds * Math.exp(WORDS * NONE.likeness) * UNEXPLAINED_CODE ** unexplained.length;
  const sum = none + [...missed, ...other].reduce((total, cause) => total + cause.weight, 0);
  const ranked = [...missed, ...other]
    .sort((a, b) => b.weight - a.weight || (a.cause.id < b.cause.id ? -1 : 1))
    .slice(0, MOST_CAUSES)
    .map(({ cause, weight, share }) => ({ cause: { ...cause, chance: weight / sum }, share }));
  return told(ranked, { none: none / sum, unexplained }, complaint, other.reduce((s, o) => s + o.weight, 0) / sum);
}

function standingsOf(against: Against, rulebook: Rulebook): { standings: Standing[]; resolution: Resolution } {
  if ('job' in against) {
    const { standings, situation } = recordStandings(against.job, rulebook);
    return { standings, resolution: situation.resolution };
  }
  const resolution = resolve(against.facts, rulebook);
  return { standings: bareStandings(resolution), resolution };
}

interface Weighed {
  readonly cause: Omit<Cause, 'chance'>;
  readonly weight: number;
  /** Share of the complaint that it speaks of. */
  readonly share: number;
  readonly named: readonly string[];
}

function weighFollowUp(
  standing: Standing,
  back: Back,
  complaint: Complaint,
  signs: Signs,
  read: ReadCodes,
  resolution: Resolution,
): Weighed {
  const { followUp, kind, odds, evidence } = standing;
  const rows = followUp.text.skipped
    .map((row, i) => ({ row, i }))
    .filter(({ row }) => speaks(row, resolution) !== NEVER);
  const places = new Set(rows.map(({ i }) => i));
  const phrases = (signs.followUps.get(followUp.id) ?? []).filter((p) => p.row < 0 || places.has(p.row));
  const like = likeness(complaint, phrases, signs);
  const code = codesFor(
    followUp,
    rows.map(({ row }) => row),
    read,
  );
  const row = followUp.text.skipped[Math.max(0, like.nearest?.row ?? 0)];
  const when = row ? timing(row['sets-in'], back.days) : { factor: 1 };
  const early = when.factor < 1;
  const notice = like.nearest && like.nearest.row >= 0 ? row?.notice : undefined;
  return {
    cause: {
      id: followUp.id,
      title: followUp.title,
      kind,
      because: [
        ...(like.nearest
          ? [`"${like.nearest.text}"${notice && notice !== like.nearest.text ? `: ${notice}` : ''}`]
          : []),
        ...code.texts,
        ...(!early && when.text ? [when.text] : []),
      ],
      against: [
        ...(early && when.text ? [when.text] : []),
        ...(like.nearest ? [] : ['nothing that was said is what one notices when it is skipped']),
        ...(row?.silent && code.named.length === 0 && read.codes.length > 0 ? ['it stores no code by itself'] : []),
      ],
      evidence,
      tests: testsOf(followUp, [...new Set(rows.flatMap(({ row: r }) => r.codes ?? []))], resolution),
    },
    weight: odds * when.factor * Math.exp(WORDS * like.value) * code.factor,
    share: like.share,
    named: code.named,
  };
}

function weighElsewhere(complaint: Complaint, signs: Signs, read: ReadCodes, resolution: Resolution): Weighed[] {
  const { rulebook, lines } = resolution;
  return Object.entries(rulebook.complaints?.elsewhere ?? {}).map(([id, row]): Weighed => {
    const like = likeness(complaint, signs.elsewhere.get(id) ?? [], signs);
    const code = codesElsewhere(row, read);
    const line = lines.find((l) => row.parts?.includes(l.part) && !reaches('inspected', l.did));
    return {
      cause: {
        id,
        title: row.title,
        kind: 'elsewhere',
        because: [
          ...(like.nearest ? [`"${like.nearest.text}"`] : []),
          ...code.texts,
          ...(line ? [`${rulebook.parts.get(line.part)?.text.title ?? line.part} was worked on`] : []),
        ],
        against: [],
        evidence: [{ text: 'no follow-up explains this' }],
        tests: [{ ...row.test, tells: 'shows it' }],
      },
      weight: ELSEWHERE.odds * (line ? ELSEWHERE.withPart : 1) * Math.exp(WORDS * like.value) * code.factor,
      share: like.share,
      named: code.named,
    };
  });
}

function told(
  ranked: readonly { readonly cause: Cause; readonly share: number }[],
  { none, unexplained }: { readonly none: number; readonly unexplained: readonly string[] },
  complaint: Complaint,
  elsewhere: number,
): Comeback {
  const causes = ranked.map(({ cause }) => cause);
  const [first, second] = ranked;
  const advised = none >= AFRESH || !first || none > first.cause.chance;
  const sure =
    !advised &&
    first.cause.kind !== 'elsewhere' &&
    first.cause.chance >= SURE.chance &&
    first.cause.chance >= SURE.ahead * Math.max(second?.cause.chance ?? 0, elsewhere) &&
    (first.share >= SURE.share || first.cause.because.some((text) => text.startsWith('code ')));
  const apart = tellApart(causes);
  return {
    causes,
    sure,
    ...(apart ? { first: apart } : {}),
    afresh: {
      advised,
      chance: none,
      threshold: AFRESH,
      because:
        unexplained.length > 0
          ? `nothing on this job explains ${unexplained.join(', ')}`
          : complaint.terms.size === 0
            ? 'none of the words is one that the rulebook knows'
            : advised
              ? 'what was said is not what one notices when a follow-up of this job is missed'
              : 'if none of the tests shows anything',
    },
    heard: {
      signs: [...complaint.terms.keys()]
        .filter((term) => term.startsWith('#'))
        .map((term) => term.slice(1))
        .sort(),
      unknown: complaint.unknown,
    },
  };
}

function makersOf({ known }: Resolution): string[] {
  return (known.possible('maker') ?? []).map(String);
}
