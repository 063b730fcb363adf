import { playwright } from '@vitest/browser-playwright';
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

export default defineConfig({
  root: 'src/app',
  oxc: decorators,
  build: {
    outDir: `${top}dist/app`,
    emptyOutDir: true,
    sourcemap: true,
    target: 'es2022',
    // The rules have a size budget of their own, so they must not melt into the script.
    rolldownOptions: {
      output: { codeSplitting: { groups: [{ name: 'rules', test: (id) => id.startsWith(`${top}rules/`) }] } },
    },
  },
  worker: { format: 'es' },
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
          include: ['lit', 'lit/decorators.js', 'json-logic-js', 'zod', 'minisearch', 'idb', 'axe-core'],
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
