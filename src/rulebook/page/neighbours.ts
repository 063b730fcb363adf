import type { FollowUp, Rulebook } from '../rulebook.ts';
import { calledBy, worksOf } from '../lint/relations.ts';
import { doneWord, partTitle } from './words.ts';

/** Who speaks of a follow-up in a file of its own. */
export interface Neighbours {
  /** Steps whose own work calls for it. */
  readonly doers: readonly { readonly followUp: FollowUp; readonly work: ReadonlySet<string> }[];
  /** What its own work calls for. */
  readonly done: readonly FollowUp[];
  /** Those that say they come after it. */
  readonly followers: readonly FollowUp[];
  /** Those that do it within themselves. */
  readonly coverers: readonly FollowUp[];
}

// A rulebook is not changed in place.
const known = new WeakMap<Rulebook, ReadonlyMap<string, Neighbours>>();

export function neighboursIn(book: Rulebook): ReadonlyMap<string, Neighbours> {
  const had = known.get(book) ?? find(book);
  known.set(book, had);
  return had;
}

function find(book: Rulebook): Map<string, Neighbours> {
  const all = [...book.followUps.values()];
  const calls = all.flatMap((step) =>
    worksOf(step).flatMap((tie) => {
      const work = `${partTitle(book, tie.work.part)} ${doneWord(tie.work.did)}`;
      return calledBy(step, tie, book).map((call) => ({ step, called: call.followUp, work }));
    }),
  );
  return new Map(
    all.map((one): [string, Neighbours] => {
      const doers = new Map<FollowUp, Set<string>>();
      for (const { step, called, work } of calls)
        if (called === one) doers.set(step, (doers.get(step) ?? new Set()).add(work));
      return [
        one.id,
        {
          doers: [...doers].map(([followUp, work]) => ({ followUp, work })),
          done: [...new Set(calls.filter(({ step }) => step === one).map(({ called }) => called))],
          followers: all.filter(({ after }) => after.some(({ step }) => step === one.id)),
          coverers: all.filter(({ covers }) => covers.some(({ step }) => step === one.id)),
        },
      ];
    }),
  );
}
