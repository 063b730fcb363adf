import { type ChildProcess, fork } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { openLog } from '../src/store/log/log.ts';
import { line, opened } from './store.events.ts';

/**
 * A process writes to the record as fast as it can and reports each event once it is acknowledged; it is killed (SIGKILL)
 * at a random moment, again and again. Afterwards every acknowledged event must be there and every chain must verify.
 * `npx tsx tests/store.kill.ts 200`
 */
export interface Killed {
  readonly rounds: number;
  readonly acknowledged: number;
  readonly lost: readonly string[];
  readonly flaws: readonly string[];
}

const self = fileURLToPath(import.meta.url);
const JOBS = 5;

export async function killRounds(rounds: number, say: (text: string) => void = () => {}): Promise<Killed> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-kill-'));
  let acknowledged = 0;
  const lost: string[] = [];
  const flaws: string[] = [];
  try {
    for (let round = 1; round <= rounds; round++) {
      const told = await oneRound(folder, round);
      acknowledged += told.length;
      const found = await openLog(folder);
      flaws.push(...found.flaws.map((flaw) => flaw.says));
      for (const job of new Set(told.map((one) => one.job))) {
        const ids = new Set((await found.log.read(job))?.entries.map((entry) => entry.event.id));
        lost.push(...told.filter((one) => one.job === job && !ids.has(one.id)).map(({ id }) => `${job}/${id}`));
      }
      await found.log.close();
      say(`round ${round}: ${told.length} acknowledged, ${lost.length} lost, ${flaws.length} flaws`);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return { rounds, acknowledged, lost, flaws };
}

interface Acknowledged {
  readonly job: string;
  readonly id: string;
}

/** From the first acknowledged event on, up to 150 ms: the moment is where the writer happens to be. */
function oneRound(folder: string, round: number): Promise<Acknowledged[]> {
  const told: Acknowledged[] = [];
  const writer: ChildProcess = fork(self, ['--write', folder, String(round)], {
    execArgv: ['--import', 'tsx'],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  return new Promise((done, failed) => {
    writer.on('message', (one: Acknowledged) => {
      if (told.length === 0) setTimeout(() => writer.kill('SIGKILL'), Math.random() * 150);
      told.push(one);
    });
    writer.on('error', failed);
    // Messages sent before the end are delivered before "close".
    writer.on('close', (code, signal) => {
      if (signal === 'SIGKILL') done(told);
      else failed(new Error(`the writer ended by itself with ${code}`));
    });
  });
}

async function write(folder: string, round: string): Promise<never> {
  const { log } = await openLog(folder, { verify: false });
  for (let i = 0; ; i++) {
    const job = `job-${round}-${i % JOBS}`;
    const version = (await log.head(job))?.version ?? 0;
    const id = `r${round}-${i}`;
    // Two events in one go, for a torn append would show as one of them.
    await log.append(job, version, [version === 0 ? opened(job, id) : line(id), line(`${id}-b`, `Person ${i}`)]);
    process.send?.({ job, id });
    process.send?.({ job, id: `${id}-b` });
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  if (process.argv[2] === '--write') await write(process.argv[3] as string, process.argv[4] as string);
  const rounds = Number(process.argv[2] ?? 200);
  const { acknowledged, lost, flaws } = await killRounds(rounds, (text) => console.log(text));
  console.log(`${rounds} kills, ${acknowledged} events acknowledged, ${lost.length} lost, ${flaws.length} flaws`);
  for (const text of [...lost, ...flaws]) console.error(text);
  process.exitCode = lost.length + flaws.length > 0 || acknowledged === 0 ? 1 : 0;
}
