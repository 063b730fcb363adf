import { randomBytes } from 'node:crypto';
import type { Kept } from '../../job/upcast.ts';
import { canonical, sha256 } from './canonical.ts';

/**
 * Personal fields stand in the chain as salted hashes; values and salts lie beside it, so that a value can be removed and
 * the chain still verifies. Within one job one value has one salt: once it is removed one still sees that two steps were
 * the same person's, not whose.
 *
 * Personal are names, the VIN, and all that somebody typed in words of their own: nobody can foresee whom it names.
 * Not sealed is what proves the work: steps, figures with their units, choices, codes, photos' hashes, the lines that the
 * customer read (they are the program's own words), and what is picked from the rulebook.
 */
export const PERSONAL: readonly Personal[] = [
  { path: ['by'] },
  { path: ['foreman'] },
  { path: ['customer'] },
  { path: ['complaint'] },
  { path: ['because'] },
  { path: ['why'] },
  { path: ['note'] },
  { path: ['shows'] },
  { path: ['firm'] },
  { path: ['line', 'note'] },
  { path: ['line', 'by'], only: isOthers },
  { path: ['codes', '*', 'text'] },
  { path: ['values', '*', 'because'] },
  { path: ['values', '*', 'value'], only: isText },
  { path: ['value', 'because'] },
  { path: ['value', 'value'], only: isText },
  { path: ['vehicle', 'name'] },
  { path: ['vehicle', 'vin'], leftOut: true },
  { path: ['job', 'vehicle', 'name'] },
  { path: ['job', 'vehicle', 'vin'], leftOut: true },
  { path: ['job', 'work', '*', 'note'] },
  { path: ['job', 'work', '*', 'by'], only: isOthers },
];

interface Personal {
  /** Where it is, in events of every version; `*` is every entry of a list or object. */
  readonly path: readonly string[];
  /** Left out once it is removed; any other is marked. */
  readonly leftOut?: boolean;
  /** Asked of the object it stands in. */
  readonly only?: (holder: Sealed) => boolean;
}

function isText(holder: Sealed): boolean {
  return holder['kind'] === 'text';
}

/** "us" names nobody, and that it was us decides what the work calls for. */
function isOthers(holder: Sealed): boolean {
  return holder['by'] !== 'us';
}

export interface Secret {
  readonly hash: string;
  /** Both null once it was removed. */
  readonly salt: string | null;
  readonly value: string | null;
}

export type Sealed = Readonly<Record<string, unknown>>;

export function newSecret(value: string): Secret {
  const salt = randomBytes(16).toString('hex');
  return { salt, value, hash: secretHash(salt, value) };
}

export function secretHash(salt: string, value: string): string {
  return sha256(canonical({ salt, value }));
}

/** The event with a hash for each personal field; `secretOf` finds or makes the secret of a value. */
export function seal(event: Kept, secretOf: (value: string) => Secret): Sealed {
  return eachPersonal(event, (value) => (typeof value === 'string' ? { sealed: secretOf(value).hash } : value));
}

/** The event as it was sent, as far as its secrets are still there. Throws if one was never kept. */
export function unseal(sealed: Sealed, secrets: ReadonlyMap<string, Secret>): Kept {
  return eachPersonal(sealed, (field, { leftOut }) => {
    const hash = sealedHash(field);
    if (hash === undefined) return field;
    const secret = secrets.get(hash);
    if (!secret) throw new Error(`the personal field ${hash.slice(0, 12)} is not kept`);
    return secret.value ?? (leftOut ? undefined : `removed ${hash.slice(0, 6)}`);
  }) as Kept;
}

/** Hashes that stand for personal fields in a sealed event. */
export function sealedIn(sealed: Sealed): string[] {
  const found: string[] = [];
  eachPersonal(sealed, (field) => {
    const hash = sealedHash(field);
    if (hash !== undefined) found.push(hash);
    return field;
  });
  return found;
}

/** Whether an event sent again is the one that is kept; what was removed can no longer be told apart. */
export function isSame(event: Kept, sealed: Sealed, secrets: ReadonlyMap<string, Secret>): boolean {
  const removed = new Set([...secrets.values()].filter((s) => s.value === null).map((s) => s.hash));
  const blank = new Set<string>();
  const kept = eachPersonal(sealed, (field, _, path) => {
    const hash = sealedHash(field);
    if (hash === undefined || !removed.has(hash)) return hash === undefined ? field : secrets.get(hash)?.value;
    blank.add(path);
    return '';
  });
  const sent = eachPersonal(event, (field, _, path) => (blank.has(path) ? '' : field));
  return canonical(kept) === canonical(sent);
}

function sealedHash(field: unknown): string | undefined {
  const hash = (field as { sealed?: unknown } | null | undefined)?.sealed;
  return typeof hash === 'string' ? hash : undefined;
}

type Exchange = (field: unknown, personal: Personal, path: string) => unknown;

function eachPersonal(event: Sealed, exchange: Exchange): Sealed {
  return PERSONAL.reduce<Sealed>((sofar, personal) => within(sofar, personal, 0, '', exchange) as Sealed, event);
}

/** The value with its personal fields exchanged, from the given place of the path on; itself where there are none. */
function within(value: unknown, personal: Personal, at: number, path: string, exchange: Exchange): unknown {
  if (typeof value !== 'object' || value === null) return value;
  const name = personal.path[at] as string;
  const names = name === '*' ? Object.keys(value) : Object.hasOwn(value, name) ? [name] : [];
  return names.reduce<unknown>((sofar, each) => {
    const holder = sofar as Sealed;
    const here = `${path}/${each}`;
    const last = at === personal.path.length - 1;
    if (last && personal.only && !personal.only(holder)) return holder;
    const field = holder[each];
    const next = last ? exchange(field, personal, here) : within(field, personal, at + 1, here, exchange);
    return next === field ? holder : withField(holder, each, next);
  }, value);
}

function withField(holder: Sealed, name: string, value: unknown): unknown {
  if (Array.isArray(holder)) return holder.map((entry, i) => (String(i) === name ? value : (entry as unknown)));
  const copy: Record<string, unknown> = { ...holder, [name]: value };
  if (value === undefined) delete copy[name];
  return copy;
}
