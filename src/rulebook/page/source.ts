import type { FollowUp, Part, Rulebook } from '../rulebook.ts';
import type { TraitRow } from '../tables.ts';
import { sourceTitle } from './cited.ts';
import { followUpPage } from './follow-up.ts';
import { type Entry, type Page, type Source, sections } from './page.ts';
import { capital, entry, linksTo, partTitle } from './words.ts';

/** Everything in the rulebook that rests on one source. */
export function sourcePage(id: string, book: Rulebook): Page {
  return {
    of: 'source',
    id,
    title: sourceTitle(book, id),
    aka: [],
    kind: book.sources.get(id)?.kind ?? 'source',
    system: '',
    safety: false,
    purpose: '',
    sections: sections(
      [
        'follow-ups',
        'Follow-ups that rest on it',
        [...book.followUps.values()].flatMap((one) => ofFollowUp(id, one, book)),
      ],
      ['parts', 'Work that goes with other work', [...book.parts.values()].flatMap((part) => ofPart(id, part, book))],
      ['traits', 'Questions about the car', [...book.traits.values()].flatMap((trait) => ofTrait(id, trait))],
    ),
    sources: [],
  };
}

function ofFollowUp(id: string, followUp: FollowUp, book: Rulebook): Entry[] {
  if (!followUp.text.sources.some((use) => use.id === id)) return [];
  const page = followUpPage(followUp, book);
  const told = page.sources.find((source) => source.id === id) as Source;
  const text = [told.basis, told.where, told.note].filter(Boolean).join('; ');
  const rests = page.sections.flatMap(({ entries }) => [...restingOn(entries, told.number)]);
  return [entry(text, { links: linksTo([followUp]), under: rests })];
}

function ofPart(id: string, part: Part, book: Rulebook): Entry[] {
  return part.implies
    .filter(({ sources }) => sources.includes(id))
    .map((implied) =>
      entry(`work on it takes ${partTitle(book, implied.part)} with it: ${implied.because}`, {
        links: [{ of: 'part', id: part.id, title: part.text.title }],
      }),
    );
}

function ofTrait(id: string, { title, sources, since, likely = [] }: TraitRow): Entry[] {
  const says = [
    ...(sources?.includes(id) ? ['the question and how to tell'] : []),
    ...(since?.sources.includes(id) ? [`no car has it before model year ${since.year}`] : []),
    ...likely.filter((one) => one.sources.includes(id)).map(({ because }) => `what is likely: ${because}`),
  ];
  return says.map((text) => entry(text, { label: capital(title) }));
}

/** At any depth, without what stands under it. */
function* restingOn(entries: readonly Entry[], number: number): Iterable<Entry> {
  for (const { under = [], ...own } of entries) {
    if (own.basis?.some((one) => Number.parseInt(one, 10) === number)) {
      const { basis: _basis, ...bare } = own;
      yield bare;
    }
    yield* restingOn(under, number);
  }
}
