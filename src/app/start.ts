import { fetchRules } from './api.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readBook, type RuleBundle } from './book.ts';
import { Jobs } from './jobs.ts';
import { Keep } from './keep.ts';
import { Planner } from './planner.ts';

/** Everything the page needs before it can show a sheet. */
export interface Started {
  readonly rulebook: Rulebook;
  readonly planner: Planner;
  readonly jobs: Jobs;
  readonly keep: Keep;
}

/** How soon a sheet shows what another tablet wrote on it. */
const REFRESH_MS = 20_000;

/** Opens what this tablet keeps and fetches the rules; without a server, the rules fetched last. Rejects with a sentence. */
export async function start(): Promise<Started> {
  const keep = await Keep.open();
  const bundle = await rules(keep);
  // The worker reads the rules at the same time as the page does.
  const planner = new Planner(bundle);
  const rulebook = readBook(bundle);
  const jobs = await Jobs.open(
    keep,
    () => rulebook.version,
    () => Date.now(),
  );
  // Kept only once they have been read: a tablet without a signal must not be left with rules that do not hold.
  keep.putRules(bundle).catch(() => jobs.keepFailed());
  void jobs.sync();
  setInterval(() => {
    if (document.visibilityState === 'visible') void jobs.sync();
  }, REFRESH_MS);
  return { rulebook, planner, jobs, keep };
}

async function rules(keep: Keep): Promise<RuleBundle> {
  try {
    return await fetchRules();
  } catch (error) {
    const kept = await keep.rules();
    if (kept) return kept;
    throw new Error('The rules could not be fetched, and this tablet has none from before. Is the server running?', {
      cause: error,
    });
  }
}
