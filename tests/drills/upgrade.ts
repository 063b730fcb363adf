import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { CanNotServe, install, type Program, type Ran, type Served } from './program.ts';
import { missing, type Said, signUp, Tablet } from './tablet.ts';

/**
 * Two drills for the day on which the program is brought up to date.
 *
 * Upgrade: a server has open jobs, is stopped, and is started with another rulebook: open jobs go on under theirs, new
 * ones are opened under the new one.
 *
 * Way back: a newer program wrote to the record, and the older one is wanted back: it refuses the record. The copy of
 * before the upgrade is put back and what was written since is brought in from an export of the newer one.
 *
 * `npx tsx tests/drills/upgrade.ts`
 */
export interface Upgraded {
  readonly rules: { readonly before: string; readonly after: string };
  /** Rulebook of the job that was open, and of the one opened since, as the list of jobs says. */
  readonly pinned: { readonly open: string | undefined; readonly fresh: string | undefined };
  /** What was said to the open job under the new program, and taken. */
  readonly taken: number;
  readonly refused: readonly string[];
  /** Whether a tablet can still fetch each of both. */
  readonly served: { readonly before: boolean; readonly after: boolean };
  /** Opening a job anew under the former rulebook, once it is over: what the server says. */
  readonly late: string;
  readonly lost: readonly string[];
}

export interface WentBack {
  /** Of the older program before the record of the newer one. */
  readonly refusal: CanNotServe | undefined;
  /** After the refusal the newer one still finds everything. */
  readonly untouched: boolean;
  readonly imported: Ran;
  /** Acknowledged by either of both, and not there at the end: has to be none. */
  readonly lost: readonly string[];
  readonly acknowledged: number;
  readonly verified: Ran;
}

const CHANGED = { 'engine/idle-air-learn.json': (text: string) => text.replace('"title": "', '"title": "Later ') };

export async function upgradeDrill(): Promise<Upgraded> {
  return inFolder(async (folder) => {
    const [older, newer] = [
      await install(join(folder, 'older')),
      await install(join(folder, 'newer'), { rules: CHANGED }),
    ];
    const data = join(folder, 'data');
    const first = await older.serve(data);
    const tablet = new Tablet('tablet', first.url);
    const before = await rulesOf(first);
    await ending(first, async () => {
      await signUp(first.url, first.firstCode);
      await tablet.signIn();
      tablet.open('open', before);
      tablet.line('open');
      await tablet.send();
    });
    const second = await newer.serve(data);
    return ending(second, async () => {
      const after = await rulesOf(second);
      await tablet.signIn(second.url);
      tablet.line('open', 'door-glass');
      tablet.open('fresh', after);
      tablet.line('fresh');
      await tablet.send();
      const { records } = (await (await tablet.get('api/records')).json()) as {
        records: { ro: string; rulebook: string }[];
      };
      const pinned = (ro: string) => records.find((one) => one.ro === ro)?.rulebook;
      const taken = tablet.acknowledged.length - 2;
      const refused = tablet.refused.map(({ because }) => because);
      // The tablet whose page is still of before, and that opens another job now.
      tablet.open('late', before);
      await tablet.send();
      return {
        rules: { before, after },
        pinned: { open: pinned('open'), fresh: pinned('fresh') },
        taken,
        refused,
        served: { before: await isServed(tablet, before), after: await isServed(tablet, after) },
        late: tablet.refused.at(-1)?.because ?? 'taken',
        lost: await missing(tablet, tablet.acknowledged),
      };
    });
  });
}

export async function wayBackDrill(): Promise<WentBack> {
  return inFolder(async (folder) => {
    const older = await install(join(folder, 'older'));
    const newer = await install(join(folder, 'newer'), { rules: CHANGED, later: true });
    const [data, copy, jobs] = [join(folder, 'data'), join(folder, 'before.db'), join(folder, 'jobs.jsonl')];
    const said: Said[] = [];
    await day(older, data, 'older', said);
    must(await older.run(['backup', copy, '--data', data]));
    await day(newer, data, 'newer', said);

    const refusal = await older.serve(data).then(
      (server) => server.stop().then(() => undefined),
      (error: unknown) => (error instanceof CanNotServe ? error : Promise.reject(error)),
    );
    const untouched = (await newer.run(['verify', '--data', data])).code === 0;

    // The way back, as the documents tell it.
    const { out } = must(await newer.run(['export', '--all', '--data', data]));
    writeFileSync(jobs, out);
    const restored = join(folder, 'restored');
    mkdirSync(restored, { mode: 0o700 });
    cpSync(copy, join(restored, 'record.db'));
    const imported = await older.run(['import', jobs, '--data', restored]);
    const verified = await older.run(['verify', '--data', restored]);
    const server = await older.serve(restored);
    return ending(server, async () => {
      const tablet = new Tablet('after', server.url);
      await tablet.signIn();
      const lost = await missing(tablet, said);
      // And it goes on: also a job that was opened under the rulebook of the newer program.
      tablet.line('newer-0');
      await tablet.send();
      const stuck = tablet.refused.map(({ because }) => because);
      return { refusal, untouched, imported, lost: [...lost, ...stuck], acknowledged: said.length, verified };
    });
  });
}

/** Some jobs are opened, and those of before written to. */
async function day(program: Program, data: string, name: string, said: Said[]): Promise<void> {
  const server = await program.serve(data);
  await ending(server, async () => {
    if (server.firstCode !== undefined) await signUp(server.url, server.firstCode);
    const tablet = new Tablet(name, server.url);
    await tablet.signIn();
    const rules = await rulesOf(server);
    for (const ro of new Set(said.map((one) => one.ro))) tablet.line(ro, 'door-glass');
    for (const ro of [0, 1, 2].map((i) => `${name}-${i}`)) {
      tablet.open(ro, rules);
      for (let i = 0; i < 5; i++) tablet.line(ro);
    }
    if (!(await tablet.send()) || tablet.refused.length > 0)
      throw new Error(`${name}: ${tablet.refused.map(({ because }) => because).join(' ')}`);
    said.push(...tablet.acknowledged);
  });
}

async function isServed(tablet: Tablet, version: string): Promise<boolean> {
  const answer = await tablet.get(`api/rules/${version}`);
  return answer.status === 200 && ((await answer.json()) as { version: string }).version === version;
}

async function rulesOf({ url }: Served): Promise<string> {
  return ((await (await fetch(`${url}api/health`)).json()) as { rules: string }).rules;
}

async function ending<T>(server: Served, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } finally {
    await server.stop();
  }
}

function must(ran: Ran): Ran {
  if (ran.code !== 0) throw new Error(ran.err);
  return ran;
}

async function inFolder<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-upgrade-'));
  try {
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const up = await upgradeDrill();
  console.log(JSON.stringify(up, null, 2));
  const back = await wayBackDrill();
  console.log(JSON.stringify({ ...back, refusal: back.refusal?.says }, null, 2));
  const good =
    up.lost.length === 0 &&
    up.pinned.open === up.rules.before &&
    up.pinned.fresh === up.rules.after &&
    back.refusal?.code === 2 &&
    back.untouched &&
    back.lost.length === 0 &&
    back.verified.code === 0;
  console.log(good ? 'the drills went well' : 'A DRILL FAILED');
  process.exitCode = good ? 0 : 1;
}
