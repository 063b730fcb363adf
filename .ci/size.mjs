// Weighs, compressed, what a tablet has to fetch, and fails over budget.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

const top = fileURLToPath(new URL('..', import.meta.url));
const page = join(top, 'dist/app');

/** Kilobytes (1,000 bytes) of gzip: script that is there before the first sheet shows, script fetched when its leaf is opened. */
const budget = { script: 200, later: 160, rules: 300 };

if (!existsSync(page)) {
  console.error('nothing to weigh: dist/app is missing (npm run build makes it)');
  process.exit(1);
}

const built = files(page).filter((file) => /\.(js|json)$/.test(file));
const isRules = (/** @type {string} */ file) => /(^|[/\\])rules([/\\]|\.json$)/.test(file.slice(page.length));
// The page of all parts is fetched by whoever builds the sheet, never by a tablet.
const isParts = (/** @type {string} */ file) => /[/\\]parts-page-/.test(file);
const first = needed(built.filter((file) => /[/\\](assets[/\\]index-[^/\\]*|planner|sw)\.js$/.test(file)));
const scripts = built.filter((file) => file.endsWith('.js') && !isRules(file) && !isParts(file));
const script = scripts.filter((file) => first.has(file)).map(weigh);
const later = scripts.filter((file) => !first.has(file)).map(weigh);
const carried = built.filter(isRules).map(weigh);
if (script.length === 0) {
  console.error('nothing to weigh: dist/app holds no script');
  process.exit(1);
}

// A page that carries no rules fetches them: then the sources are weighed, as they would travel.
const rules =
  carried.length > 0 ? carried : [{ name: 'rules/ as one message', bytes: gzipSync(rulesAsOneMessage()).length }];
const good = [report('script', script), report('later', later), report('rules', rules)];
process.exitCode = good.every(Boolean) ? 0 : 1;

/**
 * @param {'script' | 'later' | 'rules'} what
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

/**
 * These scripts and all that they import as they load; what is imported by a call comes later.
 * @param {string[]} entries
 */
function needed(entries) {
  const seen = new Set();
  const open = [...entries];
  for (let file = open.pop(); file; file = open.pop()) {
    if (seen.has(file)) continue;
    seen.add(file);
    for (const [, name] of readFileSync(file, 'utf8').matchAll(
      /(?:^|[;}\s])(?:import|export)\b[^;()]*?["'](\.\.?\/[^"']+\.js)["']/g,
    ))
      open.push(resolve(dirname(file), name ?? ''));
  }
  return seen;
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
