import type { Hit } from '../../../components/part-search/part-search.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { Search, searchFollowUps, searchParts } from '../search.ts';

/** Hits by what was typed; the id of each is "kind name", as an address wants it. */
export type Find = (words: string) => Hit[];

/** Looks in the rulebook by name, by part, by code and by what customers say. */
export function finder(book: Rulebook): Find {
  const names = searchFollowUps(book);
  const parts = searchParts(book);
  const over = new Set(book.complaints?.['passed-over'] ?? []);
  const telling = (text: string) =>
    text
      .toLowerCase()
      .split(/[^a-z0-9]+/)
      .filter((word) => word !== '' && !over.has(word))
      .join(' ');
  // Each thing that customers say is found by itself, so that one that is told in many ways is no likelier.
  const sayings = [...book.followUps.values()].flatMap(({ id, text }) =>
    text.skipped.flatMap((row) => (row.said ?? []).map((said) => ({ id, said }))),
  );
  const said = new Search(sayings.map((one, i) => ({ id: String(i), title: telling(one.said), aka: '' })));
  return (words) => {
    const codes = byCode(words, book);
    if (codes.length > 0) return codes;
    const asked = telling(words);
    const named = names.find(asked, 4).map(({ id, title, aka }): Hit => ({ id: `follow-up ${id}`, title, note: aka }));
    const worked = parts.find(asked, 4).map(({ id, title, aka }): Hit => {
      const also = aka.split(', ').slice(0, 4).join(', ');
      return { id: `part ${id}`, title, note: `Part: what work on it calls for.${also ? ` Also: ${also}` : ''}` };
    });
    const heard = said.find(asked, 8).flatMap(({ id }): Hit[] => {
      const one = sayings[Number(id)];
      const title = (one && book.followUps.get(one.id)?.title) ?? '';
      return one ? [{ id: `follow-up ${one.id}`, title, note: `Customers say: \u201c${one.said}\u201d` }] : [];
    });
    // A name that holds all of the words comes before what somebody said, and that before what is only like a name.
    const sure = [...named, ...worked].filter(({ title, note }) => holdsAll(`${title} ${note}`, asked));
    const found = distinct([...sure, ...heard]);
    return found.length > 2 ? found.slice(0, 10) : distinct([...found, ...named, ...worked]).slice(0, 10);
  };
}

/** "p0301" or the beginning of a code. */
function byCode(words: string, book: Rulebook): Hit[] {
  const code = words.trim().toUpperCase();
  if (!/^[PCBU]\d[0-9A-F]{1,3}(-[0-9A-F]{0,2})?$/.test(code)) return [];
  return distinct(
    [...book.followUps.values()]
      .flatMap(({ id, title, triggers, text }) => [
        ...triggers.flatMap((one) => one.codes).map((own) => ({ own, id, title, does: 'calls for it' })),
        ...text.skipped
          .flatMap((row) => row.codes ?? [])
          .map((own) => ({ own, id, title, does: 'may be set where it was left out' })),
      ])
      .filter(({ own }) => own.startsWith(code))
      .map(({ own, id, title, does }): Hit => ({ id: `follow-up ${id}`, title, note: `${own} ${does}` })),
  ).slice(0, 12);
}

function holdsAll(text: string, asked: string): boolean {
  const known = text.toLowerCase().split(/[^a-z0-9]+/);
  return asked.split(' ').every((word) => known.some((one) => one.startsWith(word)));
}

/** The first hit on each page stays. */
function distinct(hits: readonly Hit[]): Hit[] {
  return hits.filter(({ id }, i) => hits.findIndex((hit) => hit.id === id) === i);
}
