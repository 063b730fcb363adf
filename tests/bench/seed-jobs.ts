import { append } from '../../src/store/log/append.ts';
import { type Store, transact } from '../../src/store/log/transact.ts';
import { line, opened } from '../store.events.ts';

/** Jobs of three events each, a minute apart; through the log's own code, many a commit: only the syncing is left out. */
export async function seedJobs(store: Store, jobs: number, atOnce = 1_000): Promise<void> {
  const day = Date.UTC(2026, 0, 1);
  for (let from = 0; from < jobs; from += atOnce)
    await transact(store, async (tx) => {
      for (let i = from; i < from + atOnce; i++) {
        const now = new Date(day + i * 60_000).toISOString();
        await append(tx, `${i}`, 0, [opened(`${i}`), line('e2'), line('e3')], now);
      }
    });
}
