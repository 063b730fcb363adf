import MiniSearch from 'minisearch';
import type { Rulebook } from '../rulebook/rulebook.ts';

export interface Found {
  readonly id: string;
  readonly title: string;
  readonly aka: string;
}

/** Finds by title and by other names; "clock spring" finds "clockspring" and the other way round. */
export class Search {
  private readonly index: MiniSearch<Found>;

  constructor(entries: Iterable<Found>) {
    this.index = new MiniSearch<Found>({
      fields: ['title', 'aka'],
      storeFields: ['id', 'title', 'aka'],
      tokenize: forms,
      searchOptions: {
        prefix: true,
        fuzzy: (term) => (term.length > 4 ? 0.2 : false),
        boost: { title: 2 },
        // A part that goes by many names is no less likely for it, and no more.
        bm25: { k: 0.4, b: 0.1, d: 0.5 },
        combineWith: 'OR',
      },
    });
    this.index.addAll([...entries]);
  }

  find(words: string, most = 6): Found[] {
    if (!words.trim()) return [];
    const found = this.index
      .search(words)
      .map(({ id, title, aka }) => ({ id: String(id), title: String(title), aka: String(aka) }));
    const called = plain(words);
    const exact = found.filter(({ title, aka }) => [title, ...aka.split(', ')].some((name) => plain(name) === called));
    return [...new Set([...exact, ...found])].slice(0, most);
  }
}

function plain(name: string): string {
  return name.toLowerCase().replaceAll(/[^a-z0-9]/g, '');
}

/** Each word, and each pair of neighbours as one word. */
function forms(text: string): string[] {
  const words = text
    .toLowerCase()
    .normalize('NFKD')
    .split(/[^a-z0-9]+/)
    .filter(Boolean);
  const joined = words.slice(1).map((word, i) => `${words[i]}${word}`);
  return [...words, ...joined];
}

export function searchParts(rulebook: Rulebook): Search {
  return new Search(
    [...rulebook.parts].map(([id, { text }]) => ({ id, title: text.title, aka: (text.aka ?? []).join(', ') })),
  );
}

export function searchFollowUps(rulebook: Rulebook): Search {
  return new Search(
    [...rulebook.followUps].map(([id, { title, text }]) => ({ id, title, aka: (text.aka ?? []).join(', ') })),
  );
}
