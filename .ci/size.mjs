// Weighs, compressed, what a tablet has to fetch, and fails over budget.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

const top = fileURLToPath(new URL('..', import.meta.url));
const page = join(top, 'dist/app');

/** Kilobytes (1,000 bytes) of gzip. */
const budget = { script: 200, rules: 300 };

if (!existsSync(page)) {
  console.error('nothing to weigh: dist/app is missing (npm run build makes it)');
  process.exit(1);
}

const built = files(page).filter((file) => /\.(js|json)$/.test(file));
const isRules = (/** @type {string} */ file) => /(^|[/\\])rules\b/.test(file.slice(page.length));
// The page of all parts is fetched by whoever builds the sheet, never by a tablet.
const isParts = (/** @type {string} */ file) => /[/\\]parts-page-/.test(file);
const script = built.filter((file) => file.endsWith('.js') && !isRules(file) && !isParts(file)).map(weigh);
const carried = built.filter(isRules).map(weigh);
if (script.length === 0) {
  console.error('nothing to weigh: dist/app holds no script');
  process.exit(1);
}

// A page that carries no rules fetches them: then the sources are weighed, as they would travel.
const rules =
  carried.length > 0 ? carried : [{ name: 'rules/ as one message', bytes: gzipSync(rulesAsOneMessage()).length }];
const good = [report('script', script), report('rules', rules)];
process.exitCode = good.every(Boolean) ? 0 : 1;

/**
 * @param {'script' | 'rules'} what
 * @param {{ name: string, bytes: number }[]} parts
 */
function report(what, parts) {
  const sum = parts.reduce((total, { bytes }) => total + bytes, 0) / 1000;
  for (const { name, bytes } of parts.toSorted((a, b) => b.bytes - a.bytes)) {
    console.log(`${(bytes / 1000).toFixed(1).padStart(8)} KB  ${name}`);
  }
  const within = sum <= budget[what];
  console.log(
    `${sum.toFixed(1).padStart(8)} KB  ${what} in all, budget ${budget[what]} KB: ${within ? 'within' : 'OVER'}`,
  );
  return within;
}

/** @param {string} file */
function weigh(file) {
  return { name: file.slice(top.length), bytes: gzipSync(readFileSync(file)).length };
}

function rulesAsOneMessage() {
  const sources = files(join(top, 'rules')).filter((file) => file.endsWith('.json') && !/[/\\]schema[/\\]/.test(file));
  return JSON.stringify(sources.map((file) => JSON.parse(readFileSync(file, 'utf8'))));
}

/** @param {string} folder */
function files(folder) {
  if (!existsSync(folder)) return [];
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}
