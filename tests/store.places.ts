import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { openStore } from '../src/store/log/place.ts';
import type { Store } from '../src/store/log/transact.ts';
import { type Database as Shared, openDatabase, type Place } from '../src/store/open.ts';
import { freshSite, meddle, noPostgres, type Postgres, startPostgres } from './postgres.ts';

/** A site with nothing in it yet, and the way to it behind the program's back. */
export interface Ground {
  readonly place: Place;
  /** Another one beside it. */
  other(): Place;
  /** `?` stands for a value. */
  meddle(sql: string, ...values: unknown[]): Promise<Record<string, unknown>[]>;
  /** The same place once more, as another process would. */
  open(): Promise<Store>;
  end(): Promise<void>;
}

/** A database that keeps to the contract. */
export interface Kind {
  readonly name: string;
  /** Why it can not be tried here. */
  readonly absent: string | undefined;
  begin(): Promise<void>;
  fresh(): Promise<Ground>;
  end(): Promise<void>;
}

/** Each test that is not about one of them alone runs on both. */
export function kinds(): Kind[] {
  return [sqlite(), postgres()];
}

function sqlite(): Kind {
  return {
    name: 'SQLite',
    absent: undefined,
    begin: () => Promise.resolve(),
    end: () => Promise.resolve(),
    fresh: () => {
      const folder = mkdtempSync(join(tmpdir(), 'lastbolt-record-'));
      let others = 0;
      const ground: Ground = {
        place: folder,
        other: () => join(folder, `other-${++others}`),
        meddle: (sql, ...values) => Promise.resolve(inFile(folder, sql, values)),
        open: () => openStore(folder),
        end: () => Promise.resolve(rmSync(folder, { recursive: true, force: true })),
      };
      return Promise.resolve(ground);
    },
  };
}

function inFile(folder: string, sql: string, values: readonly unknown[]): Record<string, unknown>[] {
  const file = new Database(join(folder, 'record.db'));
  try {
    const statement = file.prepare(sql);
    if (/^\s*select/i.test(sql)) return statement.all(...values) as Record<string, unknown>[];
    statement.run(...values);
    return [];
  } finally {
    file.close();
  }
}

function postgres(): Kind {
  let server: Postgres;
  let database: Shared;
  return {
    name: 'PostgreSQL',
    absent: noPostgres,
    begin: async () => {
      server = await startPostgres();
      database = await openDatabase(server.url);
    },
    end: async () => {
      await database?.close();
      await server?.stop();
    },
    fresh: () => {
      const site = freshSite();
      const place = { database, site };
      const ground: Ground = {
        place,
        other: () => ({ database, site: freshSite() }),
        meddle: (sql, ...values) => inSchema(server.url, `site_${site}`, sql, values),
        open: () => openStore(place),
        end: () => Promise.resolve(),
      };
      return Promise.resolve(ground);
    },
  };
}

function inSchema(url: string, schema: string, sql: string, values: unknown[]): Promise<Record<string, unknown>[]> {
  const at = new URL(url);
  at.searchParams.set('options', `-csearch_path=${schema}`);
  let n = 0;
  const numbered = sql.replaceAll('?', () => `$${++n}`);
  return meddle(at.href, numbered, values);
}
