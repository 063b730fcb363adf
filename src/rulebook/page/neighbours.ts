import { type FollowUp, reaches, type Rulebook, type StepWork } from '../rulebook.ts';
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
  const calls = all
    .flatMap((step) =>
      [step, ...step.ways].flatMap(({ does }) =>
        does.flatMap((own) => {
          const work = `${partTitle(book, own.part)} ${doneWord(own.did)}`;
          return closed(own, book).flatMap((one) => calledBy(one, book).map((called) => ({ step, called, work })));
        }),
      ),
    )
    .filter(({ step, called }) => step !== called);
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

type Work = Pick<StepWork, 'part' | 'did' | 'at'>;

/** The work itself and all that it takes with it. */
function closed(own: Work, book: Rulebook): Work[] {
  const works: Work[] = [own];
  for (const work of works)
    for (const { part, did, at, when } of book.parts.get(work.part)?.implies ?? []) {
      if (!reaches(work.did, when) || works.some((one) => one.part === part && one.did === did)) continue;
      const where = at === 'same' ? work.at : at;
      works.push({ part, did, ...(where ? { at: where } : {}) });
    }
  return works;
}

/** Where the work says no place it may be the one that is asked for. */
function calledBy(work: Work, book: Rulebook): FollowUp[] {
  const calls = (book.callsByPart.get(work.part) ?? []).filter(
    ({ trigger, match }) =>
      trigger.index >= 0 &&
      trigger.level !== 'not-needed' &&
      match &&
      reaches(work.did, match.did, match.exactly) &&
      (!work.at || !match.at || work.at.some((one) => match.at?.includes(one))),
  );
  return calls.map(({ followUp }) => followUp);
}
