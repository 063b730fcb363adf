import { type Flaw, Refused, Tampered, Unavailable } from '../store/log/contract.ts';
import type { SqlLog } from '../store/log/log.ts';
import type { Database } from '../store/open.ts';
import { refuse } from './input.ts';
import { settingsIn, siteIn, type Which } from './settings.ts';

/**
 * Opens the record of a site for one command and closes it again: the folder that the command line names, else whatever
 * the server would use. Exit 1: the record, or what was given to it, is not as it should be. Throws Unusable, exit 2, if
 * there is no record to work with.
 */
export async function withRecord(
  { config, data, site }: Which,
  work: (log: SqlLog) => Promise<void>,
  { create = false }: { readonly create?: boolean } = {},
): Promise<void> {
  const read = settingsIn({ config, ...(data === undefined ? {} : { data }) });
  const id = siteIn(read, site);
  const { settings } = read;
  const { openLog } = await import('../store/log/log.ts');
  const { openDatabase } = await import('../store/open.ts');
  const { placeOf } = await import('../server/sites.ts');
  const cannot = (error: unknown) => {
    if (!(error instanceof Unavailable || error instanceof Refused)) throw error;
    return refuse(data ?? id, error.message, '--data, --config or DATABASE_URL name the record');
  };
  let database: Database | undefined;
  // A folder on the command line is before a database that the surroundings name.
  if (settings.database !== undefined && data === undefined)
    database = await openDatabase(settings.database, { max: 2 }).catch(cannot);
  try {
    const place = placeOf(settings, id, database);
    const { log } = await openLog(place, { create, verify: false }).catch(cannot);
    await during(log, work);
  } finally {
    await database?.close();
  }
}

async function during(log: SqlLog, work: (log: SqlLog) => Promise<void>): Promise<void> {
  try {
    await work(log);
  } catch (error) {
    if (!(error instanceof Refused || error instanceof Tampered || error instanceof Unavailable)) throw error;
    console.error(error.message);
    process.exitCode = 1;
  } finally {
    await log.close();
  }
}

export function printFlaws(flaws: readonly Flaw[]): void {
  for (const flaw of flaws) console.log(flaw.says);
}
