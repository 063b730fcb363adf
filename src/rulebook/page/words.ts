import { reaches, type Rulebook } from '../rulebook.ts';
import { type Did, DIDS, type Duration, type Setup, type WorkMatch } from '../schema.ts';
import type { z } from 'zod';
import type { FollowUp } from '../rulebook.ts';
import type { Entry, Link } from './page.ts';

/** Names and figures of the rulebook as trade words. */

export function spaced(id: string): string {
  return id.replaceAll('-', ' ');
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** With a capital and a full stop, unless it ends by itself. */
export function sentence(text: string): string {
  return text === '' || /[.!?]$/.test(text) ? capital(text) : `${capital(text)}.`;
}

/** Within a sentence; "A/C line" and "EGR valve" keep their capitals. */
export function lower(title: string): string {
  return /^[A-Z][a-z]/.test(title) ? title.charAt(0).toLowerCase() + title.slice(1) : title;
}

/** "a, b or c"; where an item has an "or" or "and" of its own, "a, b, or c". */
export function list(items: readonly string[], last = 'or'): string {
  if (items.length < 2) return items.join('');
  const open = items.some((item) => / (or|and) /.test(item.replaceAll(/"[^"]*"|\([^)]*\)/g, '')));
  return `${items.slice(0, -1).join(', ')}${open ? ',' : ''} ${last} ${items.at(-1)}`;
}

/** Without a comma of its own, so that it may stand in a list: "A/C compressor (belt driven)". */
export function partTitle(book: Rulebook, part: string): string {
  if (part === 'any') return 'any part';
  const title = lower(book.parts.get(part)?.text.title ?? spaced(part));
  return title.includes('(') ? title : title.replace(/, (.*)$/, ' ($1)');
}

const DID_WORDS: Partial<Record<Did, string>> = {
  refitted: 'taken off and refitted',
  drained: 'opened or drained',
  'power-lost': 'without power',
};

/** Work of just this kind. */
export function doneWord(did: Did): string {
  return DID_WORDS[did] ?? did;
}

/** Everything that meets what a rule asks, of what can be done to the part: a new part is a refitted one too. */
export function didText(
  book: Rulebook,
  { part, did, exactly = false }: Pick<WorkMatch, 'part' | 'did' | 'exactly'>,
): string {
  const able = book.parts.get(part)?.text.did ?? DIDS;
  const meets = DIDS.filter((one) => one === did || (able.includes(one) && reaches(one, did, exactly)));
  return `${list(meets.map(doneWord))}${exactly ? ' and no more' : ''}`;
}

/** Parts that have the same done to them stand together: "strut or knuckle taken off and refitted or replaced". */
export function workText(book: Rulebook, work: readonly WorkMatch[]): string {
  const groups = new Map<string, string[]>();
  for (const match of work) {
    const at = match.at ? ` (${list(match.at.map(spaced))})` : '';
    const did = didText(book, match);
    groups.set(did, [...(groups.get(did) ?? []), partTitle(book, match.part) + at]);
  }
  return [...groups].map(([did, parts]) => `${list([...new Set(parts)])}: ${did}`).join('; or ');
}

export function stateTitle(book: Rulebook, state: string): string {
  return `"${book.states.get(state)?.title ?? spaced(state)}"`;
}

export function durationText({ hours, minutes, seconds }: Duration): string {
  return (
    [hours && `${hours} h`, minutes && `${minutes} min`, seconds && `${seconds} s`].filter(Boolean).join(' ') || '0 min'
  );
}

export function minutesText(minutes: number): string {
  if (minutes > 0 && minutes < 1) return `${Math.round(minutes * 60)} s`;
  return minutes < 120 ? `${minutes} min` : durationText({ hours: Math.floor(minutes / 60), minutes: minutes % 60 });
}

export function setupText(book: Rulebook, setup: Readonly<z.infer<typeof Setup>>): string {
  const { dimensions } = book.setups;
  return Object.entries(setup)
    .map(([dimension, value]) => {
      const row = dimensions[dimension];
      return `${lower(row?.title ?? spaced(dimension))} ${row?.values[value]?.title ?? spaced(value)}`;
    })
    .join('; ');
}

/** "-1.5 to 1.5°", "at least 12 V" */
export function rangeText(
  { min, max }: { readonly min?: number | undefined; readonly max?: number | undefined },
  unit = '',
): string {
  const sign = unit === 'deg' ? '°' : /^[%°]/.test(unit) && !unit.startsWith('°C') ? unit : unit && ` ${unit}`;
  if (min !== undefined && max !== undefined) return min === max ? `${min}${sign}` : `${min} to ${max}${sign}`;
  if (min !== undefined) return `at least ${min}${sign}`;
  return max === undefined ? '' : `at most ${max}${sign}`;
}

export function linksTo(followUps: readonly FollowUp[]): Link[] {
  const seen = new Map(followUps.map(({ id, title }): [string, Link] => [id, { of: 'follow-up', id, title }]));
  return [...seen.values()].sort((a, b) => (a.title < b.title ? -1 : 1));
}

/** An entry without the fields that have nothing to say. */
export function entry(text: string, more: Partial<Omit<Entry, 'text'>> = {}): Entry {
  const { label, links, basis, under, ordered } = more;
  return {
    ...(label ? { label } : {}),
    text: sentence(text),
    ...(links?.length ? { links } : {}),
    ...(basis?.length ? { basis } : {}),
    ...(under?.length ? { under } : {}),
    ...(ordered ? { ordered } : {}),
  };
}

/** "It needs" of one, "They need" of several. */
export function theyDo(links: readonly Link[], does: string, rest: string): string {
  return links.length === 1 ? `it ${does} ${rest}` : `they ${does.replace(/s$/, '')} ${rest}`;
}
