#!/usr/bin/env node
// What `npx lastbolt` runs in a checkout: builds on first use, then hands over to the built command line.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const top = fileURLToPath(new URL('..', import.meta.url));
const main = new URL('../dist/cli/main.js', import.meta.url);

if (!existsSync(main)) {
  console.error('not built yet: building once (later: npm run build)');
  for (const script of ['ensure-deps.mjs', 'build.mjs']) runFirst(script);
}
await import(main.href);

// The output goes to standard error: standard output belongs to the command that was asked for.
/** @param {string} script */
function runFirst(script) {
  const run = spawnSync(process.execPath, [`${top}.ci/${script}`], { cwd: top, stdio: ['ignore', 2, 2] });
  if (run.status === 0) return;
  console.error(`could not build (${script} failed); run \`npm install\`, then \`npm run build\` to see why`);
  process.exit(run.status ?? 1);
}
