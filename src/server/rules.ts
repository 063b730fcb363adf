import { Hono } from 'hono';
import type { RuleBundle } from './rule-files.ts';

/** GET / = the rulebook in force; GET /:version = the same for ever, or a sentence that it is no longer kept. */
export function ruleRoutes(rules: RuleBundle): Hono {
  const body = JSON.stringify(rules);
  const tag = `"${rules.version}"`;
  const send = (cache: string) =>
    new Response(body, { headers: { 'content-type': 'application/json', etag: tag, 'cache-control': cache } });
  return new Hono()
    .get('/', (c) => {
      const known = c.req.header('if-none-match')?.replace(/^W\//, '');
      if (known === tag) return c.body(null, 304, { etag: tag, 'cache-control': 'no-cache' });
      return send('no-cache');
    })
    .get('/:version', (c) => {
      const version = c.req.param('version');
      if (version === rules.version) return send('public, max-age=31536000, immutable');
      return c.json({ error: `rulebook ${version} is not here; in force is ${rules.version}` }, 404);
    });
}
