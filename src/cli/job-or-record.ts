import type { Against } from '../job/comeback/comeback.ts';
import { fold } from '../job/evolve.ts';
import { upcast } from '../job/upcast.ts';
import { readFacts } from '../resolve/facts.ts';
import type { Fault } from '../rulebook/fault.ts';
import { parseJson } from '../rulebook/read.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readText, refuse, Unusable } from './input.ts';

/** A job that was written up, or one job's record as `export` wrote it. Throws Unusable. */
export async function jobOrRecord(path: string, rulebook: Rulebook): Promise<Against & { readonly vin?: string }> {
  const file = path === '-' ? 'standard input' : path;
  const text = await readText(path);
  const faults: Fault[] = [];
  const value = parseJson(file, text, faults);
  if (faults.length > 0) throw new Unusable(faults);
  if (isExported(value)) return { job: await fromRecord(file, text, rulebook) };
  const read = readFacts(value, rulebook, file);
  if (!read.facts) throw new Unusable(read.faults);
  const vin = (value as { vehicle?: { vin?: string } }).vehicle?.vin;
  return { facts: read.facts, ...(vin === undefined ? {} : { vin: vin.trim().toUpperCase() }) };
}

/** The car's VIN as the job has it; undefined where nobody told it. */
export function vinOf(against: Against & { readonly vin?: string }): string | undefined {
  return 'job' in against ? against.job.vehicle.vin?.trim().toUpperCase() : against.vin;
}

function isExported(value: unknown): boolean {
  return (value as { format?: unknown } | null)?.format === 'lastbolt-record';
}

async function fromRecord(file: string, text: string, rulebook: Rulebook) {
  const { readExported } = await import('../store/log/import.ts');
  const { unseal } = await import('../store/log/seal.ts');
  try {
    const { links, personal } = readExported(text);
    const secrets = new Map(
      personal.map((one) => [one.hash, 'value' in one ? one : { hash: one.hash, salt: null, value: null }]),
    );
    const job = fold(links.flatMap(({ event }) => upcast(unseal(event, secrets))));
    if (job.rulebook !== rulebook.version)
      refuse(
        file,
        `job ${job.ro} is pinned to rulebook ${job.rulebook}, not ${rulebook.version}`,
        '--rules names the folder of the one it was planned with',
      );
    return job;
  } catch (error) {
    if (error instanceof Unusable || !(error instanceof Error)) throw error;
    return refuse(file, `is no record that can be read: ${error.message}`);
  }
}
