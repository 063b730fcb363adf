import type { FollowUp, Rulebook } from '../rulebook.ts';
import type { Source } from './page.ts';

const BASIS = { read: 'read', memory: 'from memory', 'common-practice': 'common practice' } as const;

/** What the figures and claims of one file rest on. */
export interface Cited {
  readonly sources: readonly Source[];
  /** How each of `ids` is told: its number in the list, and its basis where it was not read; `fallback` speaks where there is none. */
  readonly basis: (ids: readonly string[] | undefined, fallback?: readonly string[]) => string[];
}

export function citedIn(followUp: FollowUp, book: Rulebook): Cited {
  const uses = followUp.text.sources;
  const sources = uses.map(
    (use, i): Source => ({
      number: i + 1,
      id: use.id,
      title: sourceTitle(book, use.id),
      where: whereText(book, use.id, use.section),
      basis: BASIS[use.basis] + (use['read-on'] ? ` ${use['read-on']}` : ''),
      note: use.note ?? '',
    }),
  );
  const basis = (ids: readonly string[] | undefined, fallback?: readonly string[]): string[] => {
    // One source for a whole file leaves no doubt.
    const only = uses.length === 1 && uses[0] ? [uses[0].id] : [];
    const told = ids?.length ? ids : fallback?.length ? fallback : only;
    return told.map((id) => {
      const at = uses.findIndex((use) => use.id === id);
      const kind = uses[at]?.basis ?? 'read';
      return kind === 'read' ? `${at + 1}` : `${at + 1}, ${BASIS[kind]}`;
    });
  };
  return { sources, basis };
}

/** Where in it, unless its title says so already. */
function whereText(book: Rulebook, id: string, section = ''): string {
  const bare = section.replace(/^section /, '');
  return bare === book.sources.get(id)?.ref ? '' : bare;
}

/** "Toyota: Avalon repair manual, brake control (2009)" */
export function sourceTitle(book: Rulebook, id: string): string {
  const row = book.sources.get(id);
  if (!row) return id;
  const title = [row.title, row.ref].filter(Boolean).join(', ');
  return `${row.publisher}: ${title}${row.year ? ` (${row.year})` : ''}`;
}

/** Sources of several files under one list, numbered as they are met. */
export interface Citing {
  readonly sources: Source[];
  /** Told as in `Cited.basis`; without a follow-up, where the rulebook says no more than the source's own row. */
  readonly of: (followUp: FollowUp | undefined, ids: readonly string[]) => string[];
}

export function citing(book: Rulebook): Citing {
  const sources: Source[] = [];
  const of = (followUp: FollowUp | undefined, ids: readonly string[]): string[] =>
    ids.map((id) => {
      const use = followUp?.text.sources.find((one) => one.id === id);
      const kind = book.sources.get(id)?.kind;
      const basis = use?.basis ?? (kind === 'memory' || kind === 'common-practice' ? kind : 'read');
      const told = BASIS[basis] + (use?.['read-on'] ? ` ${use['read-on']}` : '');
      const row = sources.find((one) => one.id === id) ?? {
        number: sources.length + 1,
        id,
        title: sourceTitle(book, id),
        where: '',
        basis: told,
        note: '',
      };
      if (row.number > sources.length) sources.push(row);
      return basis === 'read' ? `${row.number}` : `${row.number}, ${BASIS[basis]}`;
    });
  return { sources, of };
}
