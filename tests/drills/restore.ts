import { execFile } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { promisify } from 'node:util';
import { install, type Program, type Served } from './program.ts';
import { ends, missing, signUp, Tablet } from './tablet.ts';

/**
 * The drill for the day on which the record is lost: a server works under load, is copied while it works, goes on, is
 * killed, and its file (or schema) is gone. The copy is put back. What was acknowledged before the copy was begun has to
 * be there, every chain has to verify, and what waits in the tablets' queues has to be taken, once.
 *
 * `npx tsx tests/drills/restore.ts`, or with the address of a PostgreSQL that may be written to:
 * `npx tsx tests/drills/restore.ts postgres://...` (its schema `site_main` is dropped!)
 */
export interface Restored {
  /** Acknowledged before the copy was begun, between that and the end of the server, and of the latter not there any more. */
  readonly before: number;
  readonly after: number;
  readonly lostAfter: number;
  /** Acknowledged before the copy was begun, and not there: has to be none. */
  readonly lost: readonly string[];
  /** Said while there was no server. */
  readonly queued: number;
  readonly taken: number;
  /** Sent once more: each has to be taken, and nothing may come to be there twice. */
  readonly sameAgain: boolean;
  /** Words on jobs that were opened after the copy: the job is gone, and the tablet is told so. */
  readonly ofLostJobs: number;
  /** Refused for another reason: has to be none. */
  readonly refused: readonly string[];
  /** What `verify` says, each time it was asked. */
  readonly verified: readonly string[];
  readonly seconds: number;
}

/** Where the record lies, and how it is copied, lost and put back there. */
interface Keeping {
  readonly env: Readonly<Record<string, string>>;
  /** The folder that is served, and the one that is served once it was put back. */
  readonly data: string;
  readonly restored: string;
  copy(): Promise<void>;
  lose(): Promise<void>;
  putBack(): Promise<void>;
}

const TABLETS = 3;

export async function restoreDrill({
  database,
  events = 40,
  say = () => {},
}: {
  database?: string;
  events?: number;
  say?: (text: string) => void;
} = {}): Promise<Restored> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-restore-'));
  try {
    const program = await install(join(folder, 'program'));
    const keeping = database === undefined ? inFolder(program, folder) : inDatabase(database, folder);
    return await drill(program, keeping, events, say);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function drill(
  program: Program,
  keeping: Keeping,
  events: number,
  say: (text: string) => void,
): Promise<Restored> {
  let server = await program.serve(keeping.data, keeping.env);
  const tablets = Array.from({ length: TABLETS }, (_, i) => new Tablet(`tablet${i}`, server.url));
  try {
    await signUp(server.url, server.firstCode);
    for (const tablet of tablets) await tablet.signIn();
    const rules = await rulesOf(server);
    const working = tablets.map((tablet) => work(tablet, rules));
    await answers(tablets, events);
    const before = tablets.map((tablet) => [...tablet.acknowledged]);
    await keeping.copy();
    say('copied while three tablets write');
    await answers(tablets, before.flat().length + events);
    for (const one of working) one.stop();
    await server.kill();
    await Promise.all(working.map((one) => one.over));
    const acknowledged = tablets.map((tablet) => [...tablet.acknowledged]);
    await keeping.lose();
    say('killed, and the record is gone');

    // Nobody stops working because of it.
    for (const tablet of tablets) {
      for (const ro of new Set(before[tablets.indexOf(tablet)]?.map((said) => said.ro))) tablet.line(ro, 'door-glass');
      tablet.open(`${tablet.name}-late`, rules);
      tablet.line(`${tablet.name}-late`);
    }
    const queued = tablets.flatMap((tablet) => tablet.queue).length;

    const start = performance.now();
    await keeping.putBack();
    const verified = [await verify(program, keeping)];
    server = await program.serve(keeping.restored, keeping.env);
    for (const tablet of tablets) await tablet.signIn(server.url);
    const seconds = (performance.now() - start) / 1000;
    say(`put back and open again after ${seconds.toFixed(1)} s`);

    const lost = (await Promise.all(tablets.map((tablet, i) => missing(tablet, before[i] ?? [])))).flat();
    const after = acknowledged.map((said, i) => said.slice(before[i]?.length ?? 0));
    const lostAfter = (await Promise.all(tablets.map((tablet, i) => missing(tablet, after[i] ?? [])))).flat();
    const late = tablets.map((tablet) => [...tablet.queue]);
    for (const tablet of tablets) if (!(await tablet.send())) throw new Error('the server does not answer');
    const gone = new Set(lostAfter.filter((one) => /\/.*-o$/.test(one)).map((one) => one.split('/')[0]));
    const taken = late.flat().length - tablets.flatMap((tablet) => tablet.refused).length;
    const ros = tablets.flatMap((tablet) => tablet.acknowledged.map((said) => said.ro));
    const is = await ends(tablets[0] as Tablet, [...new Set(ros)]);
    const again = (await Promise.all(tablets.map((tablet, i) => tablet.again(late[i] ?? [])))).flat();
    const sameAgain =
      again.filter((one) => one.is === 'taken').length === taken &&
      is === (await ends(tablets[0] as Tablet, [...new Set(ros)]));
    await server.stop();
    verified.push(await verify(program, { ...keeping, data: keeping.restored }));
    return {
      before: before.flat().length,
      after: after.flat().length,
      lostAfter: lostAfter.length,
      lost,
      queued,
      taken,
      sameAgain,
      ofLostJobs: tablets.flatMap((tablet) => tablet.refused).filter(({ said }) => gone.has(said.ro)).length,
      refused: tablets
        .flatMap((tablet) => tablet.refused)
        .filter(({ said }) => !gone.has(said.ro))
        .map(({ said, because }) => `${said.ro}/${said.id}: ${because}`),
      verified,
      seconds,
    };
  } finally {
    await server.kill().catch(() => undefined);
  }
}

/** Until they have so many answers, however slow the machine is. */
async function answers(tablets: readonly Tablet[], events: number): Promise<void> {
  while (tablets.flatMap((tablet) => tablet.acknowledged).length < events) await pause(10);
}

/** Opens a job now and then and writes to it until told to stop, or until there is no server. */
function work(tablet: Tablet, rules: string): { stop(): void; readonly over: Promise<void> } {
  let going = true;
  const over = (async () => {
    for (let i = 0; going; i++) {
      const ro = `${tablet.name}-${Math.floor(i / 8)}`;
      if (i % 8 === 0) tablet.open(ro, rules);
      else for (let n = 0; n < 3; n++) tablet.line(ro);
      // Where there is no server any more, what was said waits.
      if (!(await tablet.send())) return;
    }
  })();
  return { stop: () => (going = false), over };
}

async function verify(program: Program, { restored, env }: Keeping): Promise<string> {
  const { err, out, code } = await program.run(['verify', ...(env['DATABASE_URL'] ? [] : ['--data', restored])], env);
  return code === 0 ? err.trim() : `exit ${code}: ${out}${err}`;
}

async function rulesOf({ url }: Served): Promise<string> {
  return ((await (await fetch(`${url}api/health`)).json()) as { rules: string }).rules;
}

function inFolder(program: Program, folder: string): Keeping {
  const [data, restored, copy] = [join(folder, 'data'), join(folder, 'restored'), join(folder, 'copy.db')];
  return {
    env: {},
    data,
    restored,
    copy: async () => {
      const ran = await program.run(['backup', copy, '--data', data]);
      if (ran.code !== 0) throw new Error(`no copy: ${ran.err}`);
    },
    lose: async () => rmSync(data, { recursive: true }),
    putBack: async () => {
      mkdirSync(restored, { mode: 0o700 });
      cpSync(copy, join(restored, 'record.db'));
    },
  };
}

/** With the database's own programs, as `lastbolt backup` says. */
function inDatabase(url: string, folder: string): Keeping {
  const run = promisify(execFile);
  const dump = join(folder, 'copy.dump');
  return {
    env: { DATABASE_URL: url },
    data: join(folder, 'data'),
    restored: join(folder, 'data'),
    copy: async () => void (await run('pg_dump', ['--format=custom', '--schema="site_main"', `--file=${dump}`, url])),
    lose: async () => void (await run('psql', ['--quiet', '--command=drop schema "site_main" cascade', url])),
    putBack: async () => void (await run('pg_restore', ['--exit-on-error', `--dbname=${url}`, dump])),
  };
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [, , database] = process.argv;
  const told = await restoreDrill({ events: 600, say: (text) => console.log(text), ...(database ? { database } : {}) });
  console.log(JSON.stringify(told, null, 2));
  const answered = told.taken + told.ofLostJobs === told.queued && told.refused.length === 0;
  const good = told.before > 0 && told.lost.length === 0 && answered && told.sameAgain;
  console.log(good ? 'the drill went well' : 'THE DRILL FAILED');
  process.exitCode = good ? 0 : 1;
}
