import { z } from 'zod';
import type { Doors } from '../doors.ts';
import { No } from '../refusal.ts';
import { type Route, route } from '../route.ts';

const Bundle = z.strictObject({ version: z.string(), files: z.record(z.string(), z.string()) });

/** The rulebook in force, and for ever each that was: a job keeps the one it was opened under. */
export function ruleRoutes({ rulebooks }: Doors): Route[] {
  const { inForce } = rulebooks;
  const body = JSON.stringify(inForce);
  const send = (text: string, version: string, cache: string) =>
    new Response(text, {
      headers: { 'content-type': 'application/json', etag: `"${version}"`, 'cache-control': cache },
    });
  return [
    route({
      method: 'get',
      path: '/api/rules',
      about: 'The rulebook in force, every file’s text.',
      who: 'anyone',
      answer: Bundle,
      does: async ({ c }) => {
        const known = c.req.header('if-none-match')?.replace(/^W\//, '');
        if (known !== `"${inForce.version}"`) return send(body, inForce.version, 'no-cache');
        return c.body(null, 304, { etag: known, 'cache-control': 'no-cache' });
      },
    }),
    route({
      method: 'get',
      path: '/api/rules/{version}',
      about: 'A rulebook that is or was in force here; it never changes.',
      who: 'anyone',
      answer: Bundle,
      does: async ({ param }) => {
        const version = param('version');
        const bundle = version === inForce.version ? inForce : await rulebooks.bundle(version);
        if (!bundle) throw new No(404, `rulebook ${version} is not here; in force is ${inForce.version}`);
        return send(bundle === inForce ? body : JSON.stringify(bundle), version, 'public, max-age=31536000, immutable');
      },
    }),
  ];
}
