import { createHash } from 'node:crypto';

/**
 * JSON with one spelling only: RFC 8785, names in the order of their UTF-16 units, numbers as ECMAScript writes them, no
 * white space. What is undefined is left out as JSON.stringify does. Throws on what JSON cannot hold.
 */
export function canonical(value: unknown): string {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return plain(value);
  if (typeof value === 'number') {
    if (Number.isFinite(value)) return JSON.stringify(value);
    throw new TypeError(`${value} can not be written as JSON`);
  }
  if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`;
  if (typeof value !== 'object') throw new TypeError(`a ${typeof value} can not be written as JSON`);
  const named = value as Readonly<Record<string, unknown>>;
  const names = Object.keys(named).filter((name) => named[name] !== undefined);
  // The default order of sort() is that of UTF-16 units.
  return `{${names
    .sort()
    .map((name) => `${plain(name)}:${canonical(named[name])}`)
    .join(',')}}`;
}

/** A lone surrogate would be spelled differently after its way through UTF-8, and its hash with it. */
function plain(value: string | boolean | null): string {
  if (typeof value === 'string' && /\p{Surrogate}/u.test(value))
    throw new TypeError(`${JSON.stringify(value)} is no well-formed text`);
  return JSON.stringify(value);
}

/** SHA-256 in hexadecimal. */
export function sha256(data: string | Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}
