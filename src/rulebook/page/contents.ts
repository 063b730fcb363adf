import type { FollowUp, Rulebook } from '../rulebook.ts';
import { capital, spaced } from './words.ts';

/** The whole book in the order in which it is printed, each page with a number of its own. */
export interface Contents {
  /** Of the rulebook. */
  readonly version: string;
  readonly systems: readonly Chapter[];
  readonly byPart: readonly Indexed[];
  readonly byCode: readonly Indexed[];
}

export interface Chapter {
  readonly number: number;
  readonly id: string;
  readonly title: string;
  readonly pages: readonly Numbered[];
}

export interface Numbered {
  /** "11.4": the fourth of the eleventh system. */
  readonly number: string;
  readonly followUp: FollowUp;
}

/** A name, and the pages that speak of it. */
export interface Indexed {
  readonly id: string;
  readonly title: string;
  readonly pages: readonly Numbered[];
}

export function contentsOf(book: Rulebook): Contents {
  const groups = new Map<string, FollowUp[]>();
  for (const followUp of book.followUps.values())
    groups.set(followUp.system, [...(groups.get(followUp.system) ?? []), followUp]);
  const systems = [...groups]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(
      ([id, list], i): Chapter => ({
        number: i + 1,
        id,
        title: capital(spaced(id)),
        pages: list
          .toSorted((a, b) => a.title.localeCompare(b.title, 'en'))
          .map((followUp, n) => ({ number: `${i + 1}.${n + 1}`, followUp })),
      }),
    );
  const numbered = systems.flatMap(({ pages }) => pages);
  const among = (called: Iterable<FollowUp>) => {
    const wanted = new Set(called);
    return numbered.filter(({ followUp }) => wanted.has(followUp));
  };
  return {
    version: book.version,
    systems,
    byPart: [...book.parts]
      .map(([id, { text }]) => ({
        id,
        title: text.title,
        pages: among((book.callsByPart.get(id) ?? []).map(({ followUp }) => followUp)),
      }))
      .filter(({ pages }) => pages.length > 0)
      .sort((a, b) => a.title.localeCompare(b.title, 'en')),
    byCode: [...codesIn(book)]
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([code, called]) => ({ id: code, title: code, pages: among(called) })),
  };
}

/** Codes that call for a follow-up, or that it may leave where it is skipped. */
function codesIn(book: Rulebook): Map<string, Set<FollowUp>> {
  const codes = new Map<string, Set<FollowUp>>();
  for (const followUp of book.followUps.values()) {
    const own = [
      ...followUp.triggers.flatMap((one) => one.codes),
      ...followUp.text.skipped.flatMap((row) => row.codes ?? []),
    ];
    for (const code of own) codes.set(code, (codes.get(code) ?? new Set()).add(followUp));
  }
  return codes;
}
