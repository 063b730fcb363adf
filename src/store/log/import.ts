import { hold, putHead, putRows } from './append.ts';
import { canonical, sha256 } from './canonical.ts';
import type { Chain } from './chain.ts';
import { type Flaw, type Head, Refused, Tampered } from './contract.ts';
import { MOST_PHOTO_BYTES } from './photos.ts';
import { chainOf, headOf, judged } from './read.ts';
import { RecordFile } from './record-file.ts';
import type { Secret } from './seal.ts';
import { type Standing, standingAfter } from './standing.ts';
import type { Tables } from './tables.ts';
import type { Tx } from './transact.ts';

/** `new`: it was not there; `longer`: events were added behind those there; `same`: nothing was missing. */
export interface Imported {
  readonly job: string;
  readonly was: 'new' | 'longer' | 'same';
  readonly added: number;
}

/** An exported job, read and verified without looking at any database. Throws Refused or Tampered. */
export function readExported(text: string): RecordFile {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new Refused(`this is no JSON: ${(error as Error).message}`, { cause: error });
  }
  const read = RecordFile.safeParse(value);
  if (!read.success)
    throw new Refused(read.error.issues.map((issue) => `#/${issue.path.join('/')}: ${issue.message}`).join('\n'));
  const file = read.data;
  const { flaws } = judged(chainFrom(file), headFrom(file));
  const all = [...flaws, ...photoFlaws(file)];
  if (all.length > 0) throw new Tampered(all);
  return file;
}

/** Adds what is missing of an exported job. Throws Refused if this record tells another story of the job. */
export async function importJob(tx: Tx, file: RecordFile): Promise<Imported> {
  const { job } = file;
  await hold(tx, job);
  const head = await headOf(tx, job);
  const there = await chainOf(tx, job);
  if (there && judged(there, head).flaws.length > 0) throw new Tampered(judged(there, head).flaws);
  const deleted = await tx.selectFrom('record_deleted').selectAll().where('job', '=', job).executeTakeFirst();
  if (deleted) throw new Refused(`job ${job} was deleted at ${deleted.at}: ${deleted.because}`);
  const chain = chainFrom(file);
  const differs = there?.rows.find((row, at) => chain.rows[at] && chain.rows[at].hash !== row.hash);
  if (differs)
    throw new Refused(`job ${job} is here with another story from event ${differs.number} on: nothing was imported`);

  await addPhotos(tx, file);
  const rows = chain.rows.slice(there?.rows.length ?? 0);
  if (rows.length === 0) return { job, was: 'same', added: 0 };
  await addPersonal(tx, file);
  await putRows(tx, rows);
  await putHead(tx, rows, head);
  return { job, was: head ? 'longer' : 'new', added: rows.length };
}

/** What was removed here stays removed, whatever an older export still holds. */
async function addPersonal(tx: Tx, file: RecordFile): Promise<void> {
  for (const one of file.personal)
    await tx
      .insertInto('record_personal')
      .values({ job: file.job, ...secretFrom(one), removed: 'removed' in one ? one.removed : null })
      .onConflict((conflict) => conflict.columns(['job', 'hash']).doNothing())
      .execute();
}

async function addPhotos(tx: Tx, file: RecordFile): Promise<void> {
  // In one order: two imports that add the same ones must not wait for each other.
  for (const { hash, type, kept, ...rest } of file.photos.toSorted((a, b) => (a.hash < b.hash ? -1 : 1))) {
    const held =
      'bytes' in rest ? { bytes: Buffer.from(rest.bytes, 'base64'), removed: null } : { bytes: null, ...rest };
    await tx
      .insertInto('record_photos')
      .values({ hash, type, kept, ...held })
      .onConflict((conflict) => conflict.column('hash').doNothing())
      .execute();
  }
}

function chainFrom(file: RecordFile): Chain {
  const { job } = file;
  const rows: Tables['record_events'][] = file.links.map(({ event, ...link }) => ({
    job,
    id: event.id,
    event: canonical(event),
    ...link,
  }));
  const secrets = new Map(file.personal.map((one) => [one.hash, secretFrom(one)]));
  return { job, rows, secrets, head: headFrom(file) };
}

function headFrom({ job, links }: RecordFile): Head {
  const [first, last] = [links[0], links.at(-1)] as [RecordFile['links'][number], RecordFile['links'][number]];
  const standing = links.reduce<Standing | undefined>((sofar, link) => standingAfter(link.event, sofar), undefined);
  return {
    job,
    version: last.number,
    hash: last.hash,
    opened: first.kept,
    written: last.kept,
    ...(standing as Standing),
  };
}

function secretFrom(one: RecordFile['personal'][number]): Secret {
  return 'removed' in one ? { hash: one.hash, salt: null, value: null } : one;
}

function photoFlaws({ job, photos }: RecordFile): Flaw[] {
  return photos.flatMap((photo) => {
    if (!('bytes' in photo)) return [];
    const bytes = Buffer.from(photo.bytes, 'base64');
    if (bytes.length > MOST_PHOTO_BYTES) throw new Refused(`job ${job}: photo ${photo.hash.slice(0, 12)} is too large`);
    if (sha256(bytes) === photo.hash) return [];
    const says = `job ${job}: photo ${photo.hash.slice(0, 12)} is not the one that its hash says`;
    return [{ job, number: 0, kind: 'photo' as const, says }];
  });
}
