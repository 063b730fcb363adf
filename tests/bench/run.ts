import { execFileSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { availableParallelism, cpus, totalmem } from 'node:os';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { distance } from 'fastest-levenshtein';

/** One line of a result: a printable value for each column. */
export type Row = Record<string, string | number | boolean>;

/** What every `*.bench.ts` beside this file exports: its name, and a run that gives rows or throws when a budget is missed. */
export interface Bench {
  readonly name: string;
  run(): Row[] | Promise<Row[]>;
}

const folder = fileURLToPath(new URL('.', import.meta.url));

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.exitCode = await main(process.argv.slice(2));
}

/** Runs the benches of these names, or all; gives the exit code: 0 good, 1 a bench failed, 2 nothing to run. */
export async function main(wanted: readonly string[], from = folder): Promise<number> {
  const found = await discover(from);
  if (found.length === 0) return refuse(`no bench found: no *.bench.ts in ${from}`);
  const names = found.map(({ name }) => name);
  for (const name of wanted) if (!names.includes(name)) return refuse(unknown(name, names));

  console.log(machine());
  let failed = 0;
  for (const bench of found) {
    if (wanted.length > 0 && !wanted.includes(bench.name)) continue;
    if (!(await runOne(bench))) failed++;
  }
  return failed === 0 ? 0 : 1;
}

/** Every bench of a folder, by name; throws if a file is not one, or two bear one name. */
export async function discover(from: string): Promise<Bench[]> {
  const files = readdirSync(from).filter((file) => file.endsWith('.bench.ts'));
  const benches = new Map<string, Bench>();
  for (const file of files.sort()) {
    const module: unknown = await import(pathToFileURL(`${from}/${file}`).href);
    if (!isBench(module)) throw new Error(`${file} is no bench: it must export name, a string, and run, a function`);
    if (benches.has(module.name)) throw new Error(`${file} is named ${module.name}, and so is another bench`);
    benches.set(module.name, module);
  }
  return [...benches.values()];
}

function isBench(module: unknown): module is Bench {
  const { name, run } = module as Partial<Bench>;
  return typeof name === 'string' && typeof run === 'function';
}

async function runOne(bench: Bench): Promise<boolean> {
  console.log(`\n${bench.name}`);
  const start = performance.now();
  try {
    const rows = await bench.run();
    if (rows.length === 0) throw new Error('it gave no rows: nothing was measured');
    console.log(table(rows));
    console.log(`(${((performance.now() - start) / 1000).toFixed(1)} s)`);
    return true;
  } catch (error) {
    console.error(`failed: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
    return false;
  }
}

function refuse(message: string): number {
  console.error(message);
  return 2;
}

function unknown(name: string, names: readonly string[]): string {
  const nearest = names.toSorted((a, b) => distance(name, a) - distance(name, b))[0];
  return `no bench is named \`${name}\`; there are ${names.join(', ')}; did you mean \`${nearest}\`?`;
}

/** The machine a figure belongs to; without it a figure means nothing. */
function machine(): string {
  const cpu = cpus()[0]?.model.trim() ?? 'unknown cpu';
  return `${cpu}, ${availableParallelism()} cores, ${Math.round(totalmem() / 2 ** 30)} GiB, ${process.platform} ${process.arch}, node ${process.version}${commit()}`;
}

function commit(): string {
  try {
    const name = execFileSync('git', ['rev-parse', '--short', 'HEAD'], {
      cwd: folder,
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    return `, at ${name.toString().trim()}`;
  } catch {
    return '';
  }
}

/** Rows as aligned columns: numbers to the right, fractions to four digits. */
export function table(rows: readonly Row[]): string {
  const columns = [...new Set(rows.flatMap((row) => Object.keys(row)))];
  const cells = [columns, ...rows.map((row) => columns.map((column) => show(row[column])))];
  const widths = columns.map((_, at) => Math.max(...cells.map((line) => line[at]?.length ?? 0)));
  const toRight = columns.map((column) => rows.every((row) => typeof (row[column] ?? 0) === 'number'));
  const align = (cell: string, at: number) =>
    toRight[at] ? cell.padStart(widths[at] ?? 0) : cell.padEnd(widths[at] ?? 0);
  return cells.map((line) => `  ${line.map(align).join('  ').trimEnd()}`).join('\n');
}

function show(value: Row[string] | undefined): string {
  if (value === undefined) return '';
  if (typeof value !== 'number' || Number.isInteger(value)) return String(value);
  return Math.abs(value) >= 1000 ? value.toFixed(0) : value.toPrecision(4);
}
