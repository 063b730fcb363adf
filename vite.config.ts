import { playwright } from '@vitest/browser-playwright';
import { createHash } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { defineConfig, type ViteUserConfig } from 'vitest/config';
import { chromiumPath, launchArgs } from './.ci/chromium.mjs';

const top = fileURLToPath(new URL('.', import.meta.url));

// Decorators are lowered by an explicit setting: left to the nearest tsconfig they pass through raw wherever none is
// found, the build stays green and the page dies on loading.
const decorators: NonNullable<ViteUserConfig['oxc']> = {
  decorator: { legacy: true },
  assumptions: { setPublicClassFields: true },
};

// Only a test run needs the browser: a build must not unpack it.
const browserPath = process.env.VITEST ? await chromiumPath() : undefined;

const inBrowser = 'tests/browser/**/*.test.ts';
const endToEnd = 'tests/browser/**/*.e2e.test.ts';

/** Writes into the service worker what it has to keep: every built file, and a name that changes with any of them. */
const pageFiles = {
  name: 'page-files',
  apply: 'build' as const,
  generateBundle(
    _: unknown,
    bundle: Record<string, { type: string; fileName: string; code?: string; source?: string | Uint8Array }>,
  ) {
    const worker = bundle['sw.js'];
    if (worker?.code === undefined) throw new Error('the service worker was not built');
    // The page of all parts is nobody's in the workshop; the page itself is kept as "./".
    const kept = Object.values(bundle).filter(
      ({ fileName }) => !/\.map$|^sw\.js$|^index\.html$|\/parts-page-/.test(fileName),
    );
    const hash = createHash('sha256');
    for (const { fileName, code, source } of kept) hash.update(fileName).update(code ?? source ?? '');
    worker.code = `const PAGE_FILES = ${JSON.stringify([...kept.map(({ fileName }) => fileName), 'icon.svg', 'manifest.webmanifest'])};
const PAGE_VERSION = ${JSON.stringify(hash.digest('hex').slice(0, 12))};
${worker.code}`;
  },
};

export default defineConfig({
  root: 'src/app',
  plugins: [pageFiles],
  oxc: decorators,
  build: {
    outDir: `${top}dist/app`,
    emptyOutDir: true,
    sourcemap: true,
    target: 'es2022',
    // The rules have a size budget of their own, so they must not melt into the script.
    rolldownOptions: {
      // The planner is an entry like the page, not a worker's bundle, so that what both need is fetched once.
      input: { index: `${top}src/app/index.html`, planner: `${top}src/app/plan.worker.ts`, sw: `${top}src/app/sw.ts` },
      output: {
        entryFileNames: ({ name }) => (name === 'index' ? 'assets/[name]-[hash].js' : '[name].js'),
        codeSplitting: { groups: [{ name: 'rules', test: (id) => id.startsWith(`${top}rules/`) }] },
      },
    },
  },
  server: { host: '127.0.0.1', fs: { allow: [top] } },
  test: {
    root: top,
    reporters: ['default', `${top}.ci/closing-line.mjs`],
    projects: [
      {
        extends: true,
        test: {
          name: 'node',
          setupFiles: ['tests/seed.ts'],
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/browser/**'],
          testTimeout: 30_000,
        },
      },
      {
        extends: true,
        test: {
          name: 'e2e',
          include: [endToEnd],
          // A busy machine may be late once; what is broken fails each time.
          retry: 2,
          testTimeout: 60_000,
          hookTimeout: 60_000,
          fileParallelism: false,
          globalSetup: `${top}tests/browser/build-first.ts`,
        },
      },
      {
        extends: true,
        // Found late, a package would be bundled in the middle of the run and the page reloaded under its tests.
        optimizeDeps: {
          include: [
            'lit',
            'lit/decorators.js',
            'json-logic-js',
            'zod',
            'minisearch',
            'idb',
            'axe-core',
            'lit/directives/keyed.js',
            'js-quantities',
            'fastest-levenshtein',
            'zxing-wasm/reader',
            'bwip-js/browser',
            'fast-check',
          ],
        },
        test: {
          name: 'browser',
          include: [inBrowser],
          exclude: [endToEnd],
          browser: {
            enabled: true,
            headless: true,
            screenshotFailures: false,
            provider: playwright({
              launchOptions: { ...(browserPath && { executablePath: browserPath }), args: launchArgs },
            }),
            instances: [{ browser: 'chromium' }],
          },
        },
      },
    ],
  },
});
