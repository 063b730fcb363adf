import { type AddressInfo } from 'node:net';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { serve, type ServerType } from '@hono/node-server';
import { Unavailable } from '../store/log/contract.ts';
import { type Kept, openShop } from '../store/open.ts';
import { createApp } from './app.ts';
import { Calls } from './calls.ts';
import { CannotServe } from './cannot-serve.ts';
import { seedDemo } from './demo/seed.ts';
import { FirstCode } from './first-code.ts';
import { Hub } from './hub.ts';
import { LIMITS } from './limits.ts';
import { readRules } from './rule-files.ts';

/** Both are two folders above this file, in the sources as in what is built from them. */
const top = new URL('../../', import.meta.url);
const PAGE = fileURLToPath(new URL('dist/app', top));
const RULES = fileURLToPath(new URL('rules', top));

export interface ServeOptions {
  readonly port: number;
  /** Folder of the database. */
  readonly data: string;
  /** Puts an invented shop in, once, where there is nothing yet. */
  readonly demo: boolean;
  /** Folder of the built page. */
  readonly page?: string;
  /** Takes one line of the log. */
  readonly log?: (line: object) => void;
}

export interface Running {
  readonly url: string;
  /** To be shown to whoever started it: nobody works here yet. */
  readonly firstCode: string | undefined;
  /** What is wrong with the record, as sentences. */
  readonly flaws: readonly string[];
  /** Ends live streams, lets open calls finish, then closes the database. */
  close(): Promise<void>;
}

/** Names by which this machine calls itself. */
const LOOPBACK = ['127.0.0.1', 'localhost', '[::1]'];

/** Serves on the loopback address. Throws CannotServe if the port is taken, the page not built or the rules unsound. */
export async function startServer({ port, data, demo, page = PAGE, log = lineOut }: ServeOptions): Promise<Running> {
  if (!existsSync(`${page}/index.html`))
    throw new CannotServe(`the page is not built: ${page} has no index.html; run \`npm run build\``);
  const now = () => new Date();
  const kept = await opened(data);
  try {
    if (demo) await seedDemo(kept, now());
    const hub = new Hub();
    const first = new FirstCode();
    const calls = new Calls();
    const doors = {
      ...kept,
      hub,
      calls,
      first,
      now,
      page,
      hosts: LOOPBACK,
      limits: LIMITS,
      secure: false,
      tell: log,
    };
    const server = await listen(createApp(doors).fetch, port);
    const { port: taken } = server.address() as AddressInfo;
    return {
      url: `http://127.0.0.1:${taken}/`,
      firstCode: (await kept.people.list()).length === 0 ? first.text : undefined,
      flaws: kept.flaws.map((flaw) => flaw.says),
      close: async () => {
        hub.endAll();
        const closed = closeServer(server);
        await calls.end();
        await closed;
        await kept.close();
      },
    };
  } catch (error) {
    await kept.close();
    throw error;
  }
}

async function opened(data: string): Promise<Kept> {
  try {
    return await openShop(data, readRules(RULES));
  } catch (error) {
    if (error instanceof Unavailable) throw new CannotServe(error.message);
    throw error;
  }
}

function lineOut(line: object): void {
  process.stderr.write(`${JSON.stringify(line)}\n`);
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
