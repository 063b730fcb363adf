import { type Opening, openSqlite } from './open.ts';
import { type Database, openSite } from './postgres.ts';
import type { Store } from './transact.ts';

/**
 * Where a site keeps everything: a folder of its own with a `record.db` (a text is that folder), or a schema of its own
 * in a PostgreSQL database that several servers share.
 */
export type Place = string | { readonly folder: string } | { readonly database: Database; readonly site: string };

/** Opens it and brings it up to date. Throws Unavailable. */
export function openStore(place: Place, opening: Opening = {}): Promise<Store> {
  if (typeof place === 'string') return openSqlite(place, opening);
  return 'folder' in place ? openSqlite(place.folder, opening) : openSite(place.database, place.site, opening);
}
