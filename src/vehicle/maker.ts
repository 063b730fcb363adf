import { closest, distance } from 'fastest-levenshtein';
import type { MakerBook } from './schema.ts';

export type Region = 'africa' | 'asia' | 'europe' | 'north-america' | 'oceania' | 'south-america';

export interface MakerReading {
  /** The code that was found, three or six characters; null: not in the book. */
  readonly code: string | null;
  /** Maker ids the code can stand for: one is an answer, several are undecided, none is unknown. */
  readonly makers: readonly string[];
  /** `memory` if any of it is. */
  readonly basis: 'read' | 'memory' | null;
  /** Class under which the code is filed in the United States; null: not filed there. */
  readonly class: 'car' | 'mpv' | 'truck' | null;
  readonly region: Region | null;
  /** ISO 3166-1 code of the country the block belongs to, which need not be where the vehicle was built. */
  readonly country: string | null;
}

// Order of the second character within a block (ISO 3780, from memory).
const ORDER = 'ABCDEFGHJKLMNPRSTUVWXYZ1234567890';
// First characters (ISO 3780, from memory). 7 began as Oceania and was partly given to the United States: its country tells.
const REGIONS: readonly (readonly [string, Region])[] = [
  ['ABCDEFGH', 'africa'],
  ['JKLMNPR', 'asia'],
  ['STUVWXYZ', 'europe'],
  ['12345', 'north-america'],
  ['6', 'oceania'],
  ['89', 'south-america'],
];

/**
 * What positions 1 to 3 say; with 9 in position 3 the code goes on in positions 12 to 14 (49 CFR 565.15(a)).
 * @param vin 17 legal characters
 */
export function readMaker(vin: string, book: MakerBook): MakerReading {
  const code = makerCode(vin);
  const entry = Object.hasOwn(book.codes, code) ? book.codes[code] : undefined;
  const country = countryOf(vin, book);
  const region = regionOf(vin, country);
  if (!entry) return { code: null, makers: [], basis: null, class: null, region, country };
  const read = book.sources[entry.source]?.basis === 'read' && entry.also.length === 0;
  const makers = [...entry.makers, ...entry.also];
  return { code, makers, basis: read ? 'read' : 'memory', class: entry.class ?? null, region, country };
}

export function makerCode(vin: string): string {
  return vin.charAt(2) === '9' ? vin.slice(0, 3) + vin.slice(11, 14) : vin.slice(0, 3);
}

/** The maker id for a name as people write it, or the nearest known name. */
export function findMaker(text: string, book: MakerBook): { id: string } | { nearest: string | null } {
  const ids = new Map<string, string>();
  for (const [id, { name, aka }] of Object.entries(book.makers))
    for (const word of [id, name, ...aka]) ids.set(plain(word), id);
  const wanted = plain(text);
  const id = ids.get(wanted);
  if (id !== undefined) return { id };
  if (wanted === '' || ids.size === 0) return { nearest: null };
  const near = closest(wanted, [...ids.keys()]);
  const isNear = distance(wanted, near) <= Math.max(1, Math.floor(wanted.length / 3));
  return { nearest: isNear ? (ids.get(near) ?? null) : null };
}

function countryOf(vin: string, book: MakerBook): string | null {
  const place = ORDER.indexOf(vin.charAt(1));
  const block = book.countries.find(
    ({ from, to }) =>
      from.charAt(0) === vin.charAt(0) &&
      ORDER.indexOf(from.charAt(1)) <= place &&
      place <= ORDER.indexOf(to.charAt(1)),
  );
  return block?.country ?? null;
}

function regionOf(vin: string, country: string | null): Region | null {
  const first = vin.charAt(0);
  if (first === '7') return country === 'US' ? 'north-america' : country === 'NZ' ? 'oceania' : null;
  return REGIONS.find(([letters]) => letters.includes(first))?.[1] ?? null;
}

function plain(text: string): string {
  return text
    .normalize('NFD')
    .replace(/[^a-z0-9]/gi, '')
    .toLowerCase();
}
