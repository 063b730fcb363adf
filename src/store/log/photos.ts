import { sha256 } from './canonical.ts';
import { type Photo, PHOTO_TYPES, type PhotoType, Refused, Tampered } from './contract.ts';
import type { Db } from './tables.ts';
import type { Tx } from './transact.ts';

/** A scaled photograph of a tool's screen is a tenth of it. */
export const MOST_PHOTO_BYTES = 10_000_000;

export async function putPhoto(tx: Tx, bytes: Uint8Array, type: PhotoType, now: string): Promise<string> {
  if (!PHOTO_TYPES.includes(type)) throw new Refused(`a photo is one of ${PHOTO_TYPES.join(', ')}, not ${type}`);
  if (bytes.length === 0) throw new Refused('a photo of no bytes shows nothing');
  if (bytes.length > MOST_PHOTO_BYTES)
    throw new Refused(
      `a photo of ${(bytes.length / 1e6).toFixed(1)} MB is too large: the most is ${MOST_PHOTO_BYTES / 1e6} MB`,
    );
  const hash = sha256(bytes);
  await tx
    .insertInto('record_photos')
    .values({ hash, type, kept: now, bytes: Buffer.from(bytes), removed: null })
    .onConflict((conflict) => conflict.column('hash').doNothing())
    .execute();
  return hash;
}

/** Throws Tampered where the bytes are no longer those that were kept. */
export async function photoOf(db: Db, hash: string): Promise<Photo | undefined> {
  const row = await db.selectFrom('record_photos').selectAll().where('hash', '=', hash).executeTakeFirst();
  if (!row) return undefined;
  const photo = { hash, type: row.type as PhotoType, kept: row.kept };
  if (!row.bytes) return photo;
  const bytes = new Uint8Array(row.bytes);
  if (sha256(bytes) !== hash)
    throw new Tampered([
      { job: '', number: 0, kind: 'photo', says: `photo ${hash.slice(0, 12)} is not the one that was kept` },
    ]);
  return { ...photo, bytes };
}

/** Hashes of the photos that an event speaks of, wherever they stand in it. */
export function photosIn(event: unknown): string[] {
  if (typeof event !== 'object' || event === null) return [];
  return Object.entries(event).flatMap(([name, value]) =>
    typeof value === 'string'
      ? (name === 'photo' || name === 'hash') && /^[0-9a-f]{64}$/.test(value)
        ? [value]
        : []
      : photosIn(value),
  );
}
