import { readFileSync } from 'node:fs';

/** Of this program, as its package.json says; two folders above this file, in the sources as in what is built from them. */
export const { version: VERSION } = JSON.parse(
  readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
) as { readonly version: string };
