import { serveStatic } from '@hono/node-server/serve-static';
import { type Context, Hono, type MiddlewareHandler } from 'hono';
import { compress } from 'hono/compress';
import { secureHeaders } from 'hono/secure-headers';
import { Unavailable } from '../store/log/contract.ts';
import type { Doors, Names } from './doors.ts';
import { addressOf, Guard, hostNameAsked, mount } from './guard.ts';
import { Meter } from './limits.ts';
import { answerTo, No } from './refusal.ts';
import { routesOf } from './routes.ts';

/** The server: the page, its rules, the shop and its jobs. Every refusal is a sentence under `error`. */
export function createApp(doors: Doors): Hono {
  const app = new Hono();
  app.use(headers(doors.onlySecure === true));
  app.use('/api/*', logged(doors));
  app.use(own(doors.hosts));
  app.use('/api/*', metered(doors));
  app.use('/api/*', (_, next) => doors.calls.during(next));
  app.use('/api/*', neverKept);
  app.use(compress());
  const guard = new Guard(doors);
  for (const route of routesOf(doors, guard)) mount(app, route, guard);
  app.all('/api/*', (c) => c.json({ error: `there is nothing at ${c.req.method} ${c.req.path}` }, 404));
  app.use(pageCache, serveStatic({ root: doors.page }));
  app.notFound((c) => c.json({ error: `there is no page ${c.req.path}` }, 404));
  app.onError((error, c) =>
    answerTo(error, c, (what) => doors.tell({ time: doors.now().toISOString(), failed: routeOf(c), ...failure(what) })),
  );
  return app;
}

/** One line a call: nothing of what was asked for, by whom or about which car. */
function logged({ tell, now }: Doors): MiddlewareHandler {
  return async (c, next) => {
    const start = performance.now();
    await next();
    const ms = Math.round((performance.now() - start) * 10) / 10;
    tell({ time: now().toISOString(), route: routeOf(c), status: c.res.status, ms });
  };
}

/** Where it failed. Its words are left out unless they are about the machine: they may name a job or a person. */
function failure(error: unknown): object {
  if (error instanceof Unavailable) return { error: error.message };
  if (!(error instanceof Error)) return { error: typeof error };
  const at = error.stack?.split('\n').filter((line) => /^\s+at /.test(line)) ?? [];
  return { error: error.name, at: at.map((line) => line.trim()) };
}

function routeOf(c: Context): string {
  const named: string | undefined = c.get('route');
  return named ?? `${c.req.method} (nothing)`;
}

/** A name elsewhere can be bent to this address; a page under it would pass for ours. */
function own(hosts: Names): MiddlewareHandler {
  return async (c, next) => {
    const host = hostNameAsked(c);
    if (!hosts.includes(host)) throw new No(403, `this server does not go by the name ${host}`);
    await next();
  };
}

function metered({ limits, now, proxies }: Doors): MiddlewareHandler {
  const meter = new Meter(limits.address, now);
  return async (c, next) => {
    meter.count(addressOf(c, proxies));
    await next();
  };
}

/** What is told to one person is not to lie about in a browser for the next; what may, says so itself. */
const neverKept: MiddlewareHandler = async (c, next) => {
  await next();
  if (!c.res.headers.has('cache-control')) c.header('cache-control', 'no-store');
};

// File names below assets/ carry a hash of their content; whatever names them is asked for each time.
const pageCache: MiddlewareHandler = async (c, next) => {
  await next();
  if (!c.res.ok) return;
  c.header('cache-control', c.req.path.startsWith('/assets/') ? 'public, max-age=31536000, immutable' : 'no-cache');
};

/** Half a year: a shop whose certificate lapses is not locked out of its own server for good. */
const ONLY_SECURE = 'max-age=15552000';

// Own policy: a ready-made one upgrades to https, and then on the plain http of a workshop the page never loads.
const headers = (onlySecure: boolean) =>
  secureHeaders({
    contentSecurityPolicy: {
      defaultSrc: ["'none'"],
      // The reader of bar codes is WebAssembly; no script is made from text by it.
      scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
      workerSrc: ["'self'"],
      styleSrc: ["'self'"],
      fontSrc: ["'self'"],
      imgSrc: ["'self'", 'data:', 'blob:'],
      connectSrc: ["'self'"],
      manifestSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'self'"],
      frameAncestors: ["'none'"],
    },
    // Meaningless on plain http; and under a made authority a tablet that lost its trust could not even be told why.
    strictTransportSecurity: onlySecure ? ONLY_SECURE : false,
    crossOriginOpenerPolicy: false,
    originAgentCluster: false,
    referrerPolicy: 'no-referrer',
    xFrameOptions: 'DENY',
  });
