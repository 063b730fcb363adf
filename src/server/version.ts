import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** Two folders above this file, in the sources as in what is built from them. */
const top = new URL('../../', import.meta.url);

/** Of this program, as its package.json says. */
export const { version: VERSION } = JSON.parse(readFileSync(new URL('package.json', top), 'utf8')) as {
  readonly version: string;
};

/** What is run: the built command line and page. */
export const BUILT = {
  main: fileURLToPath(new URL('dist/cli/main.js', top)),
  page: fileURLToPath(new URL('dist/app/index.html', top)),
};
