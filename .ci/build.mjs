// Builds the page into dist/app and the two doors, command line and server, into dist/cli and dist/server.
import { existsSync, rmSync } from 'node:fs';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { rolldown } from 'rolldown';
import { build as vite } from 'vite';

const top = fileURLToPath(new URL('..', import.meta.url));

/** Builds everything that has an entry; throws if the page or the command line has none. */
export async function build() {
  for (const entry of ['src/app/index.html', 'src/cli/main.ts']) {
    if (!existsSync(`${top}${entry}`)) throw new Error(`nothing to build: ${entry} is missing`);
  }
  await vite({ configFile: `${top}vite.config.ts`, logLevel: 'warn' });
  await doors();
}

// One bundle run for both doors, so what they share is written once. Each file lies two folders below the top, as its
// source does: a path relative to import.meta.url means the same before and after.
async function doors() {
  const names = ['cli', 'server'].filter((name) => existsSync(`${top}src/${name}/main.ts`));
  for (const folder of ['cli', 'server', 'shared']) rmSync(`${top}dist/${folder}`, { recursive: true, force: true });
  const bundle = await rolldown({
    input: Object.fromEntries(names.map((name) => [`${name}/main`, `${top}src/${name}/main.ts`])),
    platform: 'node',
    external: /^[^./]/,
    tsconfig: `${top}tsconfig.json`,
  });
  await bundle.write({
    dir: `${top}dist`,
    format: 'esm',
    sourcemap: true,
    entryFileNames: '[name].js',
    chunkFileNames: 'shared/[name]-[hash].js',
  });
  await bundle.close();
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await build();
