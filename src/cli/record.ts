import { resolve } from 'node:path';
import { type Flaw, Refused, Tampered, Unavailable } from '../store/log/contract.ts';
import type { SqlLog } from '../store/log/log.ts';
import { refuse } from './input.ts';

/** Where `serve` keeps jobs when it is not told otherwise. */
export const DATA = '.lastbolt';

/**
 * Opens the record for one command and closes it again. Exit 1: the record, or what was given to it, is not as it should
 * be. Throws Unusable, exit 2, if there is no record to work with.
 */
export async function withRecord(
  folder: string,
  work: (log: SqlLog) => Promise<void>,
  { create = false }: { readonly create?: boolean } = {},
): Promise<void> {
  const { openLog } = await import('../store/log/log.ts');
  const { log } = await openLog(resolve(folder), { create, verify: false }).catch((error: unknown) =>
    error instanceof Unavailable ? refuse(folder, error.message, '--data names the folder') : Promise.reject(error),
  );
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
