// Runs every check that needs no running program, two at a time, and prints what each one found.
import { execFile } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const top = fileURLToPath(new URL('..', import.meta.url));
const sources = ['src', 'components', 'tests'].filter((folder) => existsSync(`${top}${folder}`));
const elements = ['components', 'src/app'].flatMap(scripts);

/**
 * @typedef {object} Check
 * @property {string} name
 * @property {string[]} command
 * @property {(output: string) => string | undefined} [objection] finds fault with a run that the tool itself calls good
 */

/** @type {Check[]} */
const checks = [
  { name: 'types', command: ['tsc', '--noEmit'] },
  { name: 'lint', command: ['oxlint', '-c', '.ci/oxlintrc.json', '--type-aware', ...sources, '.ci', 'vite.config.ts'] },
  { name: 'format', command: ['biome', 'format', '--config-path=.ci/format.json'] },
  {
    name: 'imports',
    command: ['depcruise', '--config', '.ci/dependency-cruiser.cjs', ...sources],
    objection: sawNothing,
  },
];
// The files stand first because this tool takes the word behind a switch for its value, and then looks elsewhere. Its
// notions of CSS and of HTML attributes are older than container queries and `popover`: the first is switched off, the
// second only warns.
if (elements.length > 0) {
  const rules = ['--rules.no-invalid-css', 'off', '--rules.no-unclosed-tag', 'error'];
  checks.push({ name: 'elements', command: ['lit-analyzer', ...elements, ...rules, '--strict'], objection: sawFewer });
}

const waiting = [...checks];
/** @type {string[]} */
const failed = [];
await Promise.all([work(), work()]);
console.log(failed.length === 0 ? `${checks.length} checks clean` : `failed: ${failed.join(', ')}`);
process.exitCode = failed.length === 0 ? 0 : 1;

async function work() {
  for (let check = waiting.shift(); check; check = waiting.shift()) await run(check);
}

/** @param {Check} check */
async function run({ name, command, objection }) {
  const start = performance.now();
  const { code, output } = await execute(command);
  const fault = code === 0 ? objection?.(output) : `exit ${code}`;
  if (fault) failed.push(name);
  console.log(`== ${name}: ${fault ?? 'clean'} (${((performance.now() - start) / 1000).toFixed(1)} s)`);
  if (output.trim()) console.log(output.trim());
}

/**
 * @param {string[]} command
 * @returns {Promise<{ code: number | string, output: string }>}
 */
function execute([tool = '', ...args]) {
  return new Promise((resolve) => {
    const path = `${top}node_modules/.bin/${tool}`;
    execFile(
      path,
      args,
      { cwd: top, maxBuffer: 1 << 28, shell: process.platform === 'win32' },
      (error, stdout, stderr) => {
        resolve({
          code: error ? (error.code ?? error.signal ?? 1) : 0,
          output: stdout + stderr + (error && !error.code ? error.message : ''),
        });
      },
    );
  });
}

// With a compiler it cannot read, dependency-cruiser reports no violation among no modules and exits green.
/** @param {string} output */
function sawNothing(output) {
  const modules = Number(/\b(\d+) modules\b/.exec(output)?.[1] ?? 0);
  return modules > 0 ? undefined : 'it saw no modules';
}

// lit-analyzer exits green when it crashes or finds no files.
/** @param {string} output */
function sawFewer(output) {
  const seen = Number(/^Analyzing (\d+) files?/m.exec(output)?.[1] ?? 0);
  if (seen !== elements.length) return `it saw ${seen} of ${elements.length} files`;
  return /\d+ problems? in \d+ files?/.test(output) ? undefined : 'it did not finish';
}

/** @param {string} folder */
function scripts(folder) {
  if (!existsSync(`${top}${folder}`)) return [];
  const names = readdirSync(`${top}${folder}`, { recursive: true }).map(String);
  return names.filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts')).map((name) => `${folder}/${name}`);
}
