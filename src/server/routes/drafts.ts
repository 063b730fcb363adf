import { z } from 'zod';
import { JobFile } from '../../resolve/facts.ts';
import type { Doors } from '../doors.ts';
import { No } from '../refusal.ts';
import { type Route, route } from '../route.ts';

/** A job file of 500 lines with notes stays well under this. */
const MOST_BYTES = 1_000_000;

const Draft = z.strictObject({
  ro: z.string(),
  job: JobFile,
  rules: z.string().describe('version of the rulebook it was last planned with'),
  revision: z.int().min(1),
  updated: z.iso.datetime(),
});

const Based = z.object({
  'if-match': z
    .string()
    .regex(/^(?:W\/)?"\d+"$/, { error: 'wants a revision such as "3"' })
    .optional()
    .describe('the revision the change was made on; "0": the job must be new'),
});
const Planned = Based.extend({ 'x-rules': z.string().max(200).optional() });
const DRAFTERS = ['technician', 'foreman', 'desk'] as const;

/** Sheets that are written up and not opened. */
export function draftRoutes({ drafts, hub, now }: Doors): Route[] {
  return [
    route({
      method: 'get',
      path: '/api/jobs',
      about: 'All drafts, the one changed last first.',
      who: 'signed-in',
      answer: z.strictObject({ jobs: z.array(Draft) }),
      does: async () => ({ jobs: await drafts.list() }),
    }),
    route({
      method: 'get',
      path: '/api/jobs/{ro}',
      about: 'One draft.',
      who: 'signed-in',
      answer: Draft,
      does: async ({ param }) => {
        const kept = await drafts.get(param('ro'));
        if (!kept) throw new No(404, `there is no job ${param('ro')}`);
        return kept;
      },
    }),
    route({
      method: 'put',
      path: '/api/jobs/{ro}',
      about: 'Keeps a draft.',
      who: DRAFTERS,
      headers: Planned,
      body: { name: 'job', shape: JobFile, most: MOST_BYTES },
      answer: Draft,
      does: async ({ param, body, headers }) => {
        const ro = param('ro');
        if (body.ro !== ro)
          throw new No(422, `job#/ro: is not the number it was sent to: \`${body.ro}\`; sent to \`${ro}\``);
        const kept = await drafts.put(body, headers['x-rules'] ?? '', now().toISOString(), revisionOf(headers));
        hub.tell({ type: 'draft', ro });
        return kept;
      },
    }),
    route({
      method: 'delete',
      path: '/api/jobs/{ro}',
      about: 'Strikes a draft off.',
      who: DRAFTERS,
      headers: Based,
      answer: z.strictObject({ struck: z.string() }),
      does: async ({ param, headers }) => {
        const ro = param('ro');
        await drafts.strike(ro, revisionOf(headers));
        hub.tell({ type: 'draft', ro });
        return { struck: ro };
      },
    }),
  ];
}

function revisionOf(headers: z.infer<typeof Based>): number | undefined {
  const given = /\d+/.exec(headers['if-match'] ?? '')?.[0];
  return given === undefined ? undefined : Number(given);
}
