import { randomBytes } from 'node:crypto';
import type { Kept } from '../../job/upcast.ts';
import { canonical, sha256 } from './canonical.ts';

/**
 * Personal fields stand in the chain as salted hashes; values and salts lie beside it, so that a value can be removed and
 * the chain still verifies. Within one job one value has one salt: once it is removed one still sees that two steps were
 * the same person's, not whose.
 */

/** Where they are, in events of every version; a mark takes the place of a removed one, or it is left out. */
const PERSONAL: readonly { readonly path: readonly string[]; readonly removed: 'marked' | 'left out' }[] = [
  { path: ['by'], removed: 'marked' },
  { path: ['foreman'], removed: 'marked' },
  { path: ['customer'], removed: 'marked' },
  { path: ['complaint'], removed: 'marked' },
  { path: ['vehicle', 'vin'], removed: 'left out' },
  { path: ['job', 'vehicle', 'vin'], removed: 'left out' },
];

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
  return eachPersonal(sealed, (field, removed) => {
    const hash = sealedHash(field);
    if (hash === undefined) return field;
    const secret = secrets.get(hash);
    if (!secret) throw new Error(`the personal field ${hash.slice(0, 12)} is not kept`);
    return secret.value ?? (removed === 'marked' ? `removed ${hash.slice(0, 6)}` : undefined);
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

type Exchange = (field: unknown, removed: 'marked' | 'left out', path: string) => unknown;

function eachPersonal(event: Sealed, exchange: Exchange): Sealed {
  return PERSONAL.reduce(
    (sofar, { path, removed }) => exchanged(sofar, path, (field) => exchange(field, removed, path.join('/'))),
    event,
  );
}

function exchanged(object: Sealed, [name, ...rest]: readonly string[], exchange: (field: unknown) => unknown): Sealed {
  if (name === undefined || !Object.hasOwn(object, name)) return object;
  const field = object[name];
  if (rest.length === 0) return withField(object, name, exchange(field));
  if (typeof field !== 'object' || field === null || Array.isArray(field)) return object;
  return withField(object, name, exchanged(field as Sealed, rest, exchange));
}

function withField(object: Sealed, name: string, value: unknown): Sealed {
  const copy: Record<string, unknown> = { ...object, [name]: value };
  if (value === undefined) delete copy[name];
  return copy;
}
