import { serveStatic } from '@hono/node-server/serve-static';
import { Hono, type MiddlewareHandler } from 'hono';
import { compress } from 'hono/compress';
import { HTTPException } from 'hono/http-exception';
import { secureHeaders } from 'hono/secure-headers';
import type { Jobs } from '../store/jobs.ts';
import { jobRoutes } from './jobs.ts';
import type { RuleBundle } from './rule-files.ts';
import { ruleRoutes } from './rules.ts';

export interface Doors {
  readonly jobs: Jobs;
  readonly rules: RuleBundle;
  /** Folder of the built page. */
  readonly page: string;
  readonly now: () => Date;
}

/** The server: the page, its rules, its jobs. Every refusal is a sentence under `error`. */
export function createApp({ jobs, rules, page, now }: Doors): Hono {
  const app = new Hono();
  app.use(headers);
  app.use(compress());
  app.get('/api/health', (c) => c.json({ ok: true, rules: rules.version }));
  app.route('/api/rules', ruleRoutes(rules));
  app.route('/api/jobs', jobRoutes(jobs, now));
  app.all('/api/*', (c) => c.json({ error: `there is nothing at ${c.req.method} ${c.req.path}` }, 404));
  app.use(pageCache, serveStatic({ root: page }));
  app.notFound((c) => c.json({ error: `there is no page ${c.req.path}` }, 404));
  app.onError((error, c) => {
    if (error instanceof HTTPException) return c.json({ error: error.message }, error.status);
    console.error(error);
    return c.json({ error: 'the server failed at this; its log says where' }, 500);
  });
  return app;
}

// File names below assets/ carry a hash of their content; whatever names them is asked for each time.
const pageCache: MiddlewareHandler = async (c, next) => {
  await next();
  if (!c.res.ok) return;
  c.header('cache-control', c.req.path.startsWith('/assets/') ? 'public, max-age=31536000, immutable' : 'no-cache');
};

// Own policy: a ready-made one upgrades to https, and then on the plain http of a workshop the page never loads.
const headers = secureHeaders({
  contentSecurityPolicy: {
    defaultSrc: ["'none'"],
    scriptSrc: ["'self'"],
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
  // Meaningless on plain http, and the server is told of no certificate.
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
  referrerPolicy: 'no-referrer',
  xFrameOptions: 'DENY',
});
