import { createRoute, OpenAPIHono } from '@hono/zod-openapi';
import { z } from 'zod';
import { SERVER_SAYS } from '../says.ts';
import type { Doors } from '../doors.ts';
import { changes, paramsOf, type Route, route } from '../route.ts';

/** What the server says of itself. */
export function aboutRoutes({ rulebooks, flaws }: Doors, all: () => readonly Route[]): Route[] {
  let description: object | undefined;
  return [
    route({
      method: 'get',
      path: '/api/health',
      about: 'Whether it is up, under which rulebook, and how many flaws were found in the record when it started.',
      who: 'anyone',
      answer: z.strictObject({ ok: z.literal(true), rules: z.string(), flaws: z.int() }),
      does: async () => ({ ok: true, rules: rulebooks.inForce.version, flaws: flaws.length }),
    }),
    route({
      method: 'get',
      path: '/api/openapi.json',
      about: 'This description.',
      who: 'signed-in',
      answer: z.looseObject({ openapi: z.string() }),
      does: async () => (description ??= describe(all())),
    }),
  ];
}

const Refusal = z.looseObject({ error: z.string().describe('one sentence') });

/** OpenAPI 3.1, made from the table of routes: there is no other list of them. */
export function describe(routes: readonly Route[]): object {
  const book = new OpenAPIHono();
  book.openAPIRegistry.registerComponent('securitySchemes', 'session', {
    type: 'apiKey',
    in: 'cookie',
    name: 'lastbolt',
  });
  book.openAPIRegistry.registerComponent('securitySchemes', 'token', { type: 'apiKey', in: 'header', name: 'x-token' });
  for (const one of routes) book.openAPIRegistry.registerPath(told(one));
  return book.getOpenAPI31Document({ openapi: '3.1.0', info: { title: 'Last Bolt', version: '0.1.0' } });
}

function told(one: Route): ReturnType<typeof createRoute> {
  const params = paramsOf(one.path);
  const open = one.who === 'anyone';
  const roles = typeof one.who === 'string' ? '' : ` For: ${one.who.join(', ')}.`;
  return createRoute({
    method: one.method,
    path: one.path,
    summary: one.about,
    description: `${one.about}${roles}`,
    ...(open ? {} : { security: [changes(one) ? { session: [], token: [] } : { session: [] }] }),
    request: {
      ...(params.length > 0 ? { params: z.object(Object.fromEntries(params.map((name) => [name, z.string()]))) } : {}),
      ...(one.query ? { query: one.query } : {}),
      ...(one.headers ? { headers: one.headers } : {}),
      ...(one.body ? { body: { required: true, content: contentOf(one.body) } } : {}),
    },
    responses: {
      200: { description: 'done', content: answerOf(one) },
      ...Object.fromEntries(
        statusesOf(one).map((status) => [
          status,
          {
            description: one.refusals?.[status] ?? SERVER_SAYS[status] ?? 'refused',
            content: { 'application/json': { schema: Refusal } },
          },
        ]),
      ),
    },
  });
}

function statusesOf(one: Route): number[] {
  const own = Object.keys(one.refusals ?? {}).map(Number);
  const guarded = one.who === 'anyone' ? [] : [401, 403];
  const sent = one.body ? [400, 413, 415, 422] : one.query || one.headers ? [422] : [];
  const named = one.path.includes('{') ? [404, 409] : [];
  return [...new Set([...own, ...guarded, ...sent, ...named, 429, 503])].sort((a, b) => a - b);
}

function contentOf(body: NonNullable<Route['body']>): Record<string, { schema: z.ZodType }> {
  if ('shape' in body) return { 'application/json': { schema: body.shape } };
  return Object.fromEntries(body.types.map((type) => [type, { schema: bytes() }]));
}

function answerOf({ answer }: Route): Record<string, { schema: z.ZodType }> {
  if (answer instanceof z.ZodType) return { 'application/json': { schema: answer } };
  return Object.fromEntries(answer.map((type) => [type, { schema: bytes() }]));
}

function bytes(): z.ZodType {
  return z.string().meta({ format: 'binary' });
}
