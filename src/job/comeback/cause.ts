import type { CauseKind, Evidence, Standing } from './standing.ts';
import { type Test, testsOf } from './tell-apart.ts';
import type { Elsewhere, Heard, Weighed } from './weigh.ts';

export type Bears = 'fits' | 'against' | 'nothing';

/** What may have brought a car back, with all that speaks for and against it. */
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
  /** How each fact stands to it: what was said, the days, each code. */
  readonly bears: { readonly words: Bears; readonly days: Bears; readonly codes: Readonly<Record<string, Bears>> };
  /** From the record, with event, name and time, or from the rules. */
  readonly evidence: readonly Evidence[];
  readonly tests: readonly Test[];
}

/** A weighed cause written out. */
export function causeOf(one: Weighed, chance: number, heard: Heard): Cause {
  return 'row' in one.of ? elsewhereOf(one, one.of, chance, heard) : missedOf(one, one.of.standing, chance, heard);
}

function elsewhereOf({ id, like, code }: Weighed, { row, worked }: Elsewhere, chance: number, heard: Heard): Cause {
  return {
    id,
    title: row.title,
    kind: 'elsewhere',
    chance,
    because: [
      ...(like.nearest ? [`it is said like "${like.nearest.text}"`] : []),
      ...code.texts,
      ...(worked === undefined ? [] : [`worked on: ${worked}`]),
    ],
    against: [],
    bears: bearsOf(like, code, undefined, false, heard),
    evidence: [{ text: 'no missed follow-up explains it' }],
    tests: [{ ...row.test, tells: 'shows it' }],
  };
}

function missedOf(one: Weighed, { followUp, kind, evidence }: Standing, chance: number, heard: Heard): Cause {
  const { like, code, when } = one;
  const codes = one.places.flatMap((i) => followUp.text.skipped[i]?.codes ?? []);
  const row = followUp.text.skipped[like.nearest?.row ?? -1];
  const time = when.text === undefined ? [] : [when.text];
  const silent = Boolean(row?.silent) && code.named.length === 0 && heard.read.codes.length > 0;
  const notice = row ? `; skipped, one notices: ${row.notice}` : '';
  return {
    id: followUp.id,
    title: followUp.title,
    kind,
    chance,
    because: [
      ...(like.nearest ? [`it is said like "${like.nearest.text}"${notice}`] : []),
      ...code.texts,
      ...(when.factor < 1 ? [] : time),
    ],
    against: [
      ...(when.factor < 1 ? time : []),
      ...(like.nearest || heard.complaint.terms.size === 0
        ? []
        : ['nothing that was said is what one notices when it is skipped']),
      ...(silent ? ['it stores no code'] : []),
    ],
    bears: bearsOf(like, code, when, silent, heard),
    evidence: evidence(),
    tests: testsOf(followUp, [...new Set(codes)], heard.resolution),
  };
}

function bearsOf(
  { nearest }: Weighed['like'],
  { named }: Weighed['code'],
  when: Weighed['when'] | undefined,
  silent: boolean,
  { complaint, read }: Heard,
): Cause['bears'] {
  const words = complaint.terms.size === 0 ? 'nothing' : nearest ? 'fits' : 'against';
  const days = when?.text === undefined ? 'nothing' : when.factor < 1 ? 'against' : 'fits';
  const ofCode = (code: string): Bears => (named.includes(code) ? 'fits' : silent ? 'against' : 'nothing');
  return { words, days, codes: Object.fromEntries(read.codes.map((code) => [code, ofCode(code)])) };
}
