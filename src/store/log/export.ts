import { canonical, sha256 } from './canonical.ts';
import { flawsOf, parsed } from './chain.ts';
import { Tampered } from './contract.ts';
import { photosIn } from './photos.ts';
import { chainOf } from './read.ts';
import type { RecordFile } from './record-file.ts';
import type { Db } from './tables.ts';

/** One job as a line of JSON with its line feed; the same job gives the same bytes. Throws Tampered. */
export async function exported(db: Db, job: string): Promise<string | undefined> {
  const chain = await chainOf(db, job);
  if (!chain) return undefined;
  const flaws = flawsOf(chain);
  if (flaws.length > 0) throw new Tampered(flaws);
  const links = chain.rows.map(({ number, kept, event, previous, hash }) => ({
    number,
    kept,
    event: parsed({ event }) as RecordFile['links'][number]['event'],
    previous,
    hash,
  }));
  const file: RecordFile = {
    format: 'lastbolt-record',
    v: 1,
    job,
    links,
    personal: await personalOf(db, job),
    photos: await photosOf(
      db,
      links.flatMap((link) => photosIn(link.event)),
    ),
  };
  return `${canonical(file)}\n`;
}

async function personalOf(db: Db, job: string): Promise<RecordFile['personal']> {
  const rows = await db.selectFrom('record_personal').selectAll().where('job', '=', job).orderBy('hash').execute();
  return rows.map(({ hash, salt, value, removed }) =>
    salt === null || value === null ? { hash, removed: removed ?? '' } : { hash, salt, value },
  );
}

async function photosOf(db: Db, hashes: readonly string[]): Promise<RecordFile['photos']> {
  const photos: RecordFile['photos'] = [];
  for (const hash of [...new Set(hashes)].sort()) {
    const row = await db.selectFrom('record_photos').selectAll().where('hash', '=', hash).executeTakeFirst();
    // A photo may still be on its way from the tablet: the event came first.
    if (!row) continue;
    const type = row.type as RecordFile['photos'][number]['type'];
    if (row.bytes === null) photos.push({ hash, type, kept: row.kept, removed: row.removed ?? '' });
    else {
      const bytes = Buffer.from(row.bytes);
      if (sha256(bytes) !== hash)
        throw new Tampered([
          { job: '', number: 0, kind: 'photo', says: `photo ${hash.slice(0, 12)} is not the one that was kept` },
        ]);
      photos.push({ hash, type, kept: row.kept, bytes: bytes.toString('base64') });
    }
  }
  return photos;
}
