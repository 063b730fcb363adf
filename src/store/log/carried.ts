import { gunzipSync, gzipSync } from 'node:zlib';
import { loadRulebook } from '../../rulebook/load.ts';
import { NEVER } from '../shop/rulebooks.ts';
import { canonical } from './canonical.ts';
import { parsed } from './chain.ts';
import { Refused } from './contract.ts';
import { RulebookFile } from './record-file.ts';
import { standingAfter } from './standing.ts';
import type { Db } from './tables.ts';
import type { Tx } from './transact.ts';

/** A kept rulebook as a line of JSON with its line feed; undefined where it is not kept here. */
export async function carriedRulebook(db: Db, version: string): Promise<string | undefined> {
  const files = await filesOf(db, version);
  if (!files) return undefined;
  const file: RulebookFile = { format: 'lastbolt-rulebook', v: 1, version, files };
  return `${canonical(file)}\n`;
}

/** Versions that a job was ever pinned to, in the order of its events. */
export async function rulebooksOf(db: Db, job: string): Promise<string[]> {
  const rows = await db.selectFrom('record_events').select('event').where('job', '=', job).orderBy('number').execute();
  const named = rows.map((row) => standingAfter(parsed(row) ?? {}).rulebook);
  return [...new Set(named)].filter((version) => version !== '');
}

/** Undefined where the line is no rulebook but a job. Throws Refused where it is one and not what it was. */
export function readCarried(text: string): RulebookFile | undefined {
  const value = asJson(text);
  if ((value as { format?: unknown } | null)?.format !== 'lastbolt-rulebook') return undefined;
  const read = RulebookFile.safeParse(value);
  if (!read.success)
    throw new Refused(read.error.issues.map((issue) => `#/${issue.path.join('/')}: ${issue.message}`).join('\n'));
  // The version comes of the text of the files, whether or not today's program can read them.
  const comesTo = loadRulebook(new Map(Object.entries(read.data.files))).rulebook.version;
  if (comesTo === read.data.version) return read.data;
  throw new Refused(
    `rulebook ${read.data.version} was changed after it was written: its files come to version ${comesTo}`,
  );
}

/** Keeps a rulebook for the jobs that came with it; it is not in force here. Throws Refused. */
export async function keepCarried(tx: Tx, { version, files }: RulebookFile): Promise<'new' | 'same'> {
  const there = await filesOf(tx, version);
  // The version is short: two rulebooks can be made to share it.
  if (there && canonical(there) !== canonical(files))
    throw new Refused(`rulebook ${version} is here with other files: nothing was imported`);
  if (there) return 'same';
  const row = { version, since: NEVER, files: gzipSync(JSON.stringify(files)) };
  await tx
    .insertInto('rulebooks')
    .values(row)
    .onConflict((conflict) => conflict.column('version').doNothing())
    .execute();
  return 'new';
}

async function filesOf(db: Db, version: string): Promise<RulebookFile['files'] | undefined> {
  const row = await db.selectFrom('rulebooks').select('files').where('version', '=', version).executeTakeFirst();
  return row && (JSON.parse(gunzipSync(row.files).toString('utf8')) as RulebookFile['files']);
}

function asJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new Refused(`this is no JSON: ${(error as Error).message}`, { cause: error });
  }
}
