import { type AddressInfo } from 'node:net';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { serve, type ServerType } from '@hono/node-server';
import { openDatabase } from '../store/database.ts';
import { Jobs } from '../store/jobs.ts';
import { createApp } from './app.ts';
import { CannotServe } from './cannot-serve.ts';
import { seedDemo } from './demo.ts';
import { readRules } from './rule-files.ts';

/** Both are two folders above this file, in the sources as in what is built from them. */
const top = new URL('../../', import.meta.url);
const PAGE = fileURLToPath(new URL('dist/app', top));
const RULES = fileURLToPath(new URL('rules', top));

export interface ServeOptions {
  readonly port: number;
  /** Folder of the database. */
  readonly data: string;
  /** Puts invented jobs in, once, where there is no job yet. */
  readonly demo: boolean;
}

export interface Running {
  readonly url: string;
  /** Ends open requests, then the database. */
  close(): Promise<void>;
}

/** Serves on the loopback address. Throws CannotServe if the port is taken, the page not built or the rules unsound. */
export async function startServer({ port, data, demo }: ServeOptions): Promise<Running> {
  if (!existsSync(`${PAGE}/index.html`))
    throw new CannotServe(`the page is not built: ${PAGE} has no index.html; run \`npm run build\``);
  const rules = readRules(RULES);
  const db = await openDatabase(data);
  const jobs = new Jobs(db);
  const now = () => new Date();
  try {
    if (demo) await seedDemo(jobs, rules.version, now());
    const server = await listen(createApp({ jobs, rules, page: PAGE, now }).fetch, port);
    const { port: taken } = server.address() as AddressInfo;
    return {
      url: `http://127.0.0.1:${taken}/`,
      close: async () => {
        await closeServer(server);
        await db.destroy();
      },
    };
  } catch (error) {
    await db.destroy();
    throw error;
  }
}

function listen(fetch: Parameters<typeof serve>[0]['fetch'], port: number): Promise<ServerType> {
  return new Promise((resolve, reject) => {
    const server = serve({ fetch, port, hostname: '127.0.0.1' }, () => resolve(server));
    server.once('error', (error: NodeJS.ErrnoException) => reject(explain(error, port)));
  });
}

function explain(error: NodeJS.ErrnoException, port: number): Error {
  if (error.code === 'EADDRINUSE')
    return new CannotServe(`port ${port} is taken by another program; choose another with --port N`);
  if (error.code === 'EACCES')
    return new CannotServe(`port ${port} needs rights you do not have; choose one above 1023 with --port N`);
  return error;
}

function closeServer(server: ServerType): Promise<void> {
  return new Promise((resolve, reject) => {
    server.close((error) => (error ? reject(error) : resolve()));
    if ('closeIdleConnections' in server) server.closeIdleConnections();
    // A page that keeps its connection busy must not keep the process alive.
    if ('closeAllConnections' in server) setTimeout(() => server.closeAllConnections(), 2000).unref();
  });
}
