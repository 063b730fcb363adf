import type { Against } from '../job/comeback/comeback.ts';
import { fold } from '../job/evolve.ts';
import { upcast } from '../job/upcast.ts';
import { readFacts } from '../resolve/facts.ts';
import { type Fault, printFault } from '../rulebook/fault.ts';
import { loadRulebook } from '../rulebook/load.ts';
import { parseJson } from '../rulebook/read.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { RulebookFile } from '../store/log/record-file.ts';
import { MOST_BYTES, readText, refuse, Unusable } from './input.ts';

/** An exported job brings the rulebooks with it that it is pinned to; each is over a megabyte. */
const MOST_WITH_RULES = 2 * MOST_BYTES;

type Told = Against & {
  readonly vin?: string;
  /** The one that came with an exported job; to be used instead of the folder's. */
  readonly rulebook?: Rulebook;
};

/** A job that was written up, or one job's record as `export` wrote it. Throws Unusable. */
export async function jobOrRecord(path: string, rulebook: Rulebook): Promise<Told> {
  const file = path === '-' ? 'standard input' : path;
  const text = await readText(path, MOST_WITH_RULES);
  const lines = isExported(text) ? [text] : text.split('\n').filter((line) => line.trim() !== '');
  if (lines.length > 0 && lines.every(isExported)) return fromRecord(file, lines, rulebook);
  const faults: Fault[] = [];
  const value = parseJson(file, text, faults);
  if (faults.length > 0) throw new Unusable(faults);
  const read = readFacts(value, rulebook, file);
  if (!read.facts) throw new Unusable(read.faults);
  const vin = (value as { vehicle?: { vin?: string } }).vehicle?.vin;
  return { facts: read.facts, ...(vin === undefined ? {} : { vin: vin.trim().toUpperCase() }) };
}

/** The car's VIN as the job has it; undefined where nobody told it. */
export function vinOf(against: Against & { readonly vin?: string }): string | undefined {
  return 'job' in against ? against.job.vehicle.vin?.trim().toUpperCase() : against.vin;
}

function isExported(line: string): boolean {
  try {
    const { format } = JSON.parse(line) as { format?: unknown };
    return format === 'lastbolt-record' || format === 'lastbolt-rulebook';
  } catch {
    return false;
  }
}

async function fromRecord(file: string, lines: readonly string[], rulebook: Rulebook): Promise<Told> {
  const { readCarried } = await import('../store/log/carried.ts');
  const { readExported } = await import('../store/log/import.ts');
  const { unseal } = await import('../store/log/seal.ts');
  try {
    const carried = lines.map((line) => readCarried(line));
    const jobs = lines.filter((_, at) => !carried[at]);
    if (jobs.length !== 1) refuse(file, `holds ${jobs.length} jobs`, 'export one by its RO');
    const { links, personal } = readExported(jobs[0] as string);
    const secrets = new Map(
      personal.map((one) => [one.hash, 'value' in one ? one : { hash: one.hash, salt: null, value: null }]),
    );
    const job = fold(links.flatMap(({ event }) => upcast(unseal(event, secrets))));
    if (job.rulebook === rulebook.version) return { job };
    const came = carried.find((one) => one?.version === job.rulebook);
    if (came) return { job, rulebook: sound(file, came) };
    return refuse(
      file,
      `job ${job.ro} is pinned to rulebook ${job.rulebook}, not ${rulebook.version}`,
      '--rules names the folder of the one it was planned with',
    );
  } catch (error) {
    if (error instanceof Unusable || !(error instanceof Error)) throw error;
    return refuse(file, `is no record that can be read: ${error.message}`);
  }
}

function sound(file: string, { version, files }: RulebookFile): Rulebook {
  const { rulebook, faults } = loadRulebook(new Map(Object.entries(files)));
  if (faults.length === 0) return rulebook;
  return refuse(
    file,
    `rulebook ${version} came with it, and this program can not read it`,
    printFault(faults[0] as Fault),
  );
}
