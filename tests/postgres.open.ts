import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { openSite } from '../src/store/log/postgres.ts';
import { openDatabase } from '../src/store/open.ts';
import { freshSite, meddle, startPostgres } from './postgres.ts';

/**
 * Six processes open a site that has no schema yet, all at once, again and again: it is made once, and each of them can
 * use it. `npx tsx tests/postgres.open.ts 50`
 */
export interface OpenedAtOnce {
  readonly rounds: number;
  readonly failed: readonly string[];
}

const PROCESSES = 6;
const self = fileURLToPath(import.meta.url);

export async function openAtOnce(url: string, rounds: number): Promise<OpenedAtOnce> {
  const openers = Array.from({ length: PROCESSES }, () =>
    fork(self, ['--open', url], { execArgv: ['--import', 'tsx'], stdio: ['ignore', 'ignore', 'inherit', 'ipc'] }),
  );
  const failed: string[] = [];
  try {
    await Promise.all(openers.map((one) => once(one, 'message')));
    for (let round = 1; round <= rounds; round++) {
      const site = freshSite();
      const told = await Promise.all(openers.map((one) => answer(one, site)));
      failed.push(...told.filter((words) => words !== 'opened'));
      const [row] = await meddle(url, `select count(*)::int as n from "site_${site}".kysely_migration`);
      const names = await meddle(url, `select distinct name from "site_${site}".kysely_migration`);
      if (row?.['n'] !== names.length || names.length < 4) failed.push(`${site}: ${String(row?.['n'])} migrations`);
    }
  } finally {
    for (const one of openers) one.kill();
  }
  return { rounds, failed };
}

async function answer(opener: ChildProcess, site: string): Promise<string> {
  opener.send(site);
  const [words] = (await once(opener, 'message')) as [string];
  return words;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  if (process.argv[2] === '--open') await open(process.argv[3] as string);
  else {
    const rounds = Number(process.argv[2] ?? 50);
    const server = await startPostgres();
    const { failed } = await openAtOnce(server.url, rounds);
    await server.stop();
    console.log(`${PROCESSES} processes opened ${rounds} new sites at once, ${failed.length} failures`);
    for (const words of failed) console.error(words);
    process.exitCode = failed.length > 0 ? 1 : 0;
  }
}

async function open(url: string): Promise<void> {
  const database = await openDatabase(url, { max: 2 });
  process.on('message', (site: string) => {
    openSite(database, site)
      .then((store) => store.db.selectFrom('people').selectAll().execute())
      .then(
        () => process.send?.('opened'),
        (error: unknown) => process.send?.(String(error)),
      );
  });
  process.send?.('ready');
}
