import { fetchRules } from './api.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readBook } from './book.ts';
import { Jobs } from './jobs.ts';
import { Keep } from './keep.ts';

/** Everything the page needs before it can show a sheet. */
export interface Started {
  readonly rulebook: Rulebook;
  readonly jobs: Jobs;
  readonly keep: Keep;
}

/** How soon a sheet shows what another tablet wrote on it. */
const REFRESH_MS = 20_000;

/** Opens what this tablet keeps and fetches the rules; without a server, the rules fetched last. Rejects with a sentence. */
export async function start(): Promise<Started> {
  const keep = await Keep.open();
  const rulebook = await rules(keep);
  const jobs = await Jobs.open(
    keep,
    () => rulebook.version,
    () => Date.now(),
  );
  void jobs.sync();
  setInterval(() => {
    if (document.visibilityState === 'visible') void jobs.sync();
  }, REFRESH_MS);
  return { rulebook, jobs, keep };
}

async function rules(keep: Keep): Promise<Rulebook> {
  try {
    const bundle = await fetchRules();
    const rulebook = readBook(bundle);
    await keep.putRules(bundle);
    return rulebook;
  } catch (error) {
    const kept = await keep.rules();
    if (kept) return readBook(kept);
    throw new Error('The rules could not be fetched, and this tablet has none from before. Is the server running?', {
      cause: error,
    });
  }
}
