import { timingSafeEqual } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { serve, type ServerType } from '@hono/node-server';
import type { Settings } from './config-settings.ts';
import { CannotServe } from './cannot-serve.ts';
import type { Doors } from './doors.ts';
import { Figures, type Watched } from './metrics-figures.ts';

type Fetch = (request: Request, ...rest: never[]) => Response | Promise<Response>;

export interface Metrics {
  /** Counts the calls that a site's log tells of, and passes each line on. */
  counting(site: string, tell: Doors['tell']): Doors['tell'];
  appended(site: string): (events: number) => void;
  /** From here on the site's record, tablets and flaws are in the figures. */
  watch(site: string, doors: Watched): void;
  /** Answers /metrics before anything else is asked; only where the figures have no port of their own. */
  through<F extends Fetch>(fetch: F): F;
  /** The port of their own. */
  readonly port: number | undefined;
  close(): Promise<void>;
}

const PATH = '/metrics';
const LOOPBACK = /^(?:127\.0\.0\.1|localhost|\[::1\])(?::\d+)?$/;

/**
 * Figures for a monitor, as OpenMetrics 1.0 text. They name sites, routes and versions, never a job, a person or a car.
 * Undefined where the settings ask for none. Throws CannotServe.
 */
export async function openMetrics(
  settings: Settings['metrics'],
  about: { readonly rules: string; readonly now: () => Date },
): Promise<Metrics | undefined> {
  if (!settings) return undefined;
  const token = tokenIn(settings);
  const figures = new Figures(about.rules);
  const answer = (request: Request) => answered(figures, request, token);
  const server = settings.port === undefined ? undefined : await listen(settings.port, answer);
  const through: Fetch = (request) => answer(request);
  return {
    counting: (site, tell) => (line) => {
      figures.line(site, line);
      tell(line);
    },
    appended: (site) => (events) => figures.appended(site, events),
    watch: (site, doors) => figures.watch(site, doors),
    through: (fetch) => {
      if (server) return fetch;
      const both = (request: Request, ...rest: never[]) =>
        new URL(request.url).pathname === PATH ? through(request) : fetch(request, ...rest);
      return both as typeof fetch;
    },
    port: server && (server.address() as AddressInfo).port,
    close: async () => {
      figures.close();
      if (!server) return;
      if ('closeAllConnections' in server) server.closeAllConnections();
      await new Promise((done) => server.close(done));
    },
  };
}

async function answered(figures: Figures, request: Request, token: string | undefined): Promise<Response> {
  const no = (status: number, error: string, headers: Record<string, string> = {}) =>
    Response.json({ error }, { status, headers: { 'cache-control': 'no-store', ...headers } });
  // A page elsewhere whose name was bent to this address could read them otherwise.
  if (token === undefined && !LOOPBACK.test(request.headers.get('host') ?? ''))
    return no(403, 'figures are given to this machine only');
  if (new URL(request.url).pathname !== PATH) return no(404, `there is nothing but ${PATH} here`);
  if (request.method !== 'GET') return no(405, 'figures are only read', { allow: 'GET' });
  if (token !== undefined && !isToken(request.headers.get('authorization') ?? '', token))
    return no(401, 'figures are given for their token', { 'www-authenticate': 'Bearer' });
  return new Response(await figures.text(), {
    headers: { 'content-type': figures.type, 'cache-control': 'no-store' },
  });
}

function isToken(header: string, token: string): boolean {
  const [given, wanted] = [Buffer.from(header), Buffer.from(`Bearer ${token}`)];
  return given.length === wanted.length && timingSafeEqual(given, wanted);
}

function tokenIn({ token, 'token-file': file }: NonNullable<Settings['metrics']>): string | undefined {
  if (token !== undefined && file !== undefined)
    throw new CannotServe('the token of the figures is said twice: leave out metrics.token or metrics.token-file');
  if (file === undefined) return token;
  const text = read(file);
  if (text.length < 16)
    throw new CannotServe(`${file} holds no token for the figures: it wants 16 characters at least`);
  return text;
}

function read(file: string): string {
  try {
    return readFileSync(file, 'utf8').trim();
  } catch (error) {
    throw new CannotServe(
      `${file} can not be read (${(error as NodeJS.ErrnoException).code}): it is to hold the token of the figures`,
    );
  }
}

function listen(port: number, fetch: (request: Request) => Promise<Response>): Promise<ServerType> {
  return new Promise((resolve, reject) => {
    const server = serve({ fetch, port, hostname: '127.0.0.1' }, () => resolve(server));
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(
        error.code === 'EADDRINUSE' || error.code === 'EACCES'
          ? new CannotServe(
              `port ${port} for figures is ${error.code === 'EACCES' ? 'not yours to open' : 'taken'}; choose another under metrics.port`,
            )
          : error,
      ),
    );
  });
}
