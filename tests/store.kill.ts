import { type ChildProcess, fork } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { openLog, type SqlLog } from '../src/store/log/log.ts';
import { Overtaken, Unavailable } from '../src/store/log/contract.ts';
import { type Database, openDatabase, type Place } from '../src/store/open.ts';
import { freshSite, type Postgres, startPostgres } from './postgres.ts';
import { line, opened } from './store.events.ts';

/**
 * Processes write to the record as fast as they can and report each event once it is acknowledged; they are killed
 * (SIGKILL) at a random moment, again and again. On PostgreSQL every other round kills the database instead, by turns as
 * a crash and as a loss of its process, and the writers go on when it is back. Afterwards every acknowledged event must
 * be there, once, and every chain must verify. `npx tsx tests/store.kill.ts 200 [--postgres]`
 */
export interface Killed {
  readonly rounds: number;
  readonly acknowledged: number;
  readonly lost: readonly string[];
  readonly flaws: readonly string[];
  /** Appends that were told to be in doubt or not kept, while the database was gone. */
  readonly refused: number;
}

interface Ground {
  readonly place: Place;
  /** What a writer needs to find the place. */
  readonly words: readonly string[];
  /** Ends the database and brings it back; undefined where only writers can be killed. */
  readonly strike?: (round: number) => Promise<void>;
  end(): Promise<void>;
}

const self = fileURLToPath(import.meta.url);
const JOBS = 5;
const WRITERS = 2;
/** From when each writer has been acknowledged something to the kill. */
const LONGEST_MS = 400;

type Say = (text: string) => void;

export async function killRounds(rounds: number, say: Say = () => {}): Promise<Killed> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-kill-'));
  const end = () => Promise.resolve(rmSync(folder, { recursive: true, force: true }));
  return allRounds({ place: folder, words: [folder], end }, rounds, say);
}

export async function killPostgresRounds(rounds: number, say: Say = () => {}): Promise<Killed> {
  const server = await startPostgres({ fsync: 'on', checkpoint_timeout: '30s' });
  const database = await openDatabase(server.url);
  const site = freshSite();
  await openLog({ database, site });
  const strike = async (round: number) => {
    await server.end(round % 4 === 0 ? 'kill' : 'crash');
    await server.start();
  };
  const end = () => ended(server, database);
  return allRounds({ place: { database, site }, words: [server.url, site], strike, end }, rounds, say);
}

async function ended(server: Postgres, database: Database): Promise<void> {
  await database.close();
  await server.stop();
}

async function allRounds(ground: Ground, rounds: number, say: Say): Promise<Killed> {
  const all: { acknowledged: number; refused: number; lost: string[]; flaws: string[] } = {
    acknowledged: 0,
    refused: 0,
    lost: [],
    flaws: [],
  };
  try {
    for (let round = 1; round <= rounds; round++) {
      const { told, refused } = await oneRound(ground, round);
      all.acknowledged += told.length;
      all.refused += refused;
      const { log } = await openLog(ground.place, { verify: false });
      // Those of this round: those before it are looked at once more at the end.
      const jobs = new Set(told.map(({ job }) => job));
      for await (const { flaws } of log.verify([...jobs])) all.flaws.push(...flaws.map((flaw) => flaw.says));
      for (const job of jobs) all.lost.push(...(await missing(log, job, told)));
      await log.close();
      say(
        `round ${round}: ${told.length} acknowledged, ${refused} refused, ${all.lost.length} lost, ${all.flaws.length} flaws`,
      );
    }
    const last = await openLog(ground.place);
    all.flaws.push(...last.flaws.map((flaw) => flaw.says));
    await last.log.close();
  } finally {
    await ground.end();
  }
  return { rounds, ...all };
}

async function missing(log: SqlLog, job: string, told: readonly Acknowledged[]): Promise<string[]> {
  const ids = (await log.read(job))?.entries.map((entry) => entry.event.id) ?? [];
  const there = new Set(ids);
  const lost = told.filter((one) => one.job === job && !there.has(one.id)).map(({ id }) => `${job}/${id}`);
  return [...lost, ...ids.filter((id, at) => ids.indexOf(id) !== at).map((id) => `${job}/${id} is there twice`)];
}

interface Acknowledged {
  readonly job: string;
  readonly id: string;
}

/** The moment is where the writers happen to be. */
async function oneRound(ground: Ground, round: number): Promise<{ told: Acknowledged[]; refused: number }> {
  const told: Acknowledged[] = [];
  let refused = 0;
  const strikes = ground.strike !== undefined && round % 2 === 0;
  const writers = Array.from({ length: ground.strike ? WRITERS : 1 }, (_, n) => writer(ground, `${round}-${n}`));
  const begun = new Set<ChildProcess>();
  const kill = () => writers.forEach((one) => one.kill('SIGKILL'));
  const over = Promise.all(writers.map(closed));
  // An end of its own accord must not pass for silence.
  over.catch(kill);
  await new Promise<void>((moment, failed) => {
    over.catch(failed);
    for (const one of writers)
      one.on('message', (what: Acknowledged | 'refused') => {
        if (what === 'refused') return void refused++;
        told.push(what);
        if (begun.size === writers.length) return;
        begun.add(one);
        if (begun.size === writers.length) setTimeout(moment, Math.random() * LONGEST_MS);
      });
  });
  if (strikes) {
    await ground.strike?.(round);
    // Back again, each of the writers goes on without being started anew.
    const before = told.length;
    const late = Date.now() + 30_000;
    while (told.length < before + 10 && Date.now() < late) await new Promise((done) => setTimeout(done, 10));
    if (told.length < before + 10)
      throw new Error(`round ${round}: the writers did not go on when the database was back`);
  }
  kill();
  await over;
  return { told, refused };
}

function writer({ words }: Ground, name: string): ChildProcess {
  return fork(self, ['--write', name, ...words], {
    execArgv: ['--import', 'tsx'],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
}

function closed(writer: ChildProcess): Promise<void> {
  return new Promise((done, failed) => {
    writer.on('error', failed);
    // Messages sent before the end are delivered before "close".
    writer.on('close', (code, signal) => {
      if (signal === 'SIGKILL') done();
      else failed(new Error(`the writer ended by itself with ${code}`));
    });
  });
}

async function write(name: string, [where = '', site]: readonly string[]): Promise<never> {
  const place = site === undefined ? where : { database: await openDatabase(where, { max: 2 }), site };
  const { log } = await openLog(place, { verify: false });
  // All writers of a round write to the same jobs.
  const round = name.split('-')[0];
  for (let i = 0; ; i++) await one(log, `job-${round}-${i % JOBS}`, `r${name}-${i}`);
}

/** Two events in one go, for a torn append would show as one of them; again until it is acknowledged, as a tablet does. */
async function one(log: SqlLog, job: string, id: string): Promise<void> {
  for (;;) {
    try {
      const version = (await log.head(job))?.version ?? 0;
      await log.append(job, version, [version === 0 ? opened(job, id) : line(id), line(`${id}-b`, `Person ${id}`)]);
      process.send?.({ job, id });
      process.send?.({ job, id: `${id}-b` });
      return;
    } catch (error) {
      if (error instanceof Overtaken) continue;
      if (!(error instanceof Unavailable)) {
        // Kept as the first of the job, and not heard of: told again as what it was.
        if ((await log.read(job).catch(() => undefined))?.entries.some(({ event }) => event.id === id)) return;
        throw error;
      }
      process.send?.('refused');
      await new Promise((done) => setTimeout(done, 20));
    }
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  if (process.argv[2] === '--write') await write(process.argv[3] as string, process.argv.slice(4));
  const rounds = Number(process.argv[2] ?? 200);
  const run = process.argv.includes('--postgres') ? killPostgresRounds : killRounds;
  const { acknowledged, refused, lost, flaws } = await run(rounds, (text) => console.log(text));
  console.log(
    `${rounds} kills, ${acknowledged} events acknowledged, ${refused} refused, ${lost.length} lost, ${flaws.length} flaws`,
  );
  for (const text of [...lost, ...flaws]) console.error(text);
  process.exitCode = lost.length + flaws.length > 0 || acknowledged === 0 ? 1 : 0;
}
