import { readdirSync, readFileSync } from 'node:fs';
import { z } from 'zod';
import { type Comeback, comeback } from '../src/job/comeback/comeback.ts';
import { JobFile } from '../src/resolve/facts.ts';
import { mustRead, rulebook } from './real-rulebook.ts';

/** Cars that came back, from public sources, in our own words; half of them kept back: nothing is tuned on those. */
export const ComebackCase = z.strictObject({
  says: z.string().min(1).describe('what it was, for whoever reads the case'),
  complaint: z.strictObject({
    words: z.string().min(1),
    codes: z.array(z.string()).optional(),
    days: z.int().min(0),
  }),
  job: JobFile.omit({ ro: true }),
  cause: z.union([
    z.strictObject({ followUp: z.array(z.string()).min(1).describe('any of these first is right') }),
    z.strictObject({ other: z.string().describe('no follow-up was missed: naming one surely is false') }),
  ]),
  source: z.strictObject({ publisher: z.string(), title: z.string(), address: z.string().optional() }),
  'kept-back': z.boolean(),
});
export type ComebackCase = z.infer<typeof ComebackCase>;

const folder = new URL('cases/comebacks/', import.meta.url);

export const cases: readonly (ComebackCase & { readonly file: string })[] = readdirSync(folder)
  .filter((name) => name.endsWith('.json'))
  .sort()
  .flatMap((file) =>
    z
      .array(ComebackCase)
      .parse(JSON.parse(readFileSync(new URL(file, folder), 'utf8')))
      .map((one) => ({ ...one, file })),
  );

export function answer({ complaint, job }: Pick<ComebackCase, 'complaint' | 'job'>): Comeback {
  const { words, codes, days } = complaint;
  const facts = mustRead({ ...job, ro: 'back', 'work-done': true });
  return comeback({ says: words, days, ...(codes ? { codes } : {}) }, { facts }, rulebook);
}

export interface Judged {
  readonly one: (typeof cases)[number];
  readonly answer: Comeback;
  /** Place of the right answer among the causes, from 1; 0 where it is not there. */
  readonly place: number;
  /** A follow-up told as sure where another one, or none, was the cause. */
  readonly falselySure: boolean;
}

export function judge(one: (typeof cases)[number]): Judged {
  const got = answer(one);
  const right = (id: string) =>
    'followUp' in one.cause ? one.cause.followUp.includes(id) : !rulebook.followUps.has(id);
  const place = got.causes.findIndex(({ id }) => right(id)) + 1;
  const first = got.causes[0];
  return {
    one,
    answer: got,
    place: 'other' in one.cause && got.afresh.advised ? 1 : place,
    falselySure: got.sure && !!first && !right(first.id),
  };
}

export interface Rates {
  readonly cases: number;
  readonly first: number;
  readonly third: number;
  /** Mean over follow-ups of the share of its cases that are right at once, so that common ones do not hide rare ones. */
  readonly each: number;
  readonly false: number;
  readonly sure: number;
}

export function rates(judged: readonly Judged[]): Rates {
  const part = (of: readonly Judged[], test: (j: Judged) => boolean) =>
    of.length === 0 ? 0 : of.filter(test).length / of.length;
  const groups = new Map<string, Judged[]>();
  for (const j of judged) {
    const key = 'followUp' in j.one.cause ? (j.one.cause.followUp[0] as string) : 'elsewhere';
    groups.set(key, [...(groups.get(key) ?? []), j]);
  }
  const means = [...groups.values()].map((group) => part(group, (j) => j.place === 1));
  return {
    cases: judged.length,
    first: part(judged, (j) => j.place === 1),
    third: part(judged, (j) => j.place >= 1 && j.place <= 3),
    each: means.reduce((sum, mean) => sum + mean, 0) / Math.max(1, means.length),
    false: judged.filter((j) => j.falselySure).length,
    sure: part(judged, (j) => j.answer.sure),
  };
}
