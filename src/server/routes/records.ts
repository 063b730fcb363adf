import { z } from 'zod';
import { Answered, Commands, Served, Summaries } from '../../job/exchange.ts';
import { Word } from '../../job/values.ts';
import { upcast } from '../../job/upcast.ts';
import type { Head, JobRecord } from '../../store/log/contract.ts';
import type { Doors } from '../doors.ts';
import { No } from '../refusal.ts';
import { type Route, route } from '../route.ts';
import { take } from '../take.ts';

/** Two hundred commands with their values. */
const MOST_BYTES = 1_000_000;
const MOST_LISTED = 500;

const Whole = z
  .string()
  .regex(/^\d{1,9}$/, { error: 'wants a whole number' })
  .transform(Number);

const Which = z.strictObject({
  status: z.enum(['open', 'ended']).optional(),
  after: z.string().max(600).optional().describe('`next` of the page before'),
  limit: Whole.pipe(z.number().min(1).max(MOST_LISTED)).optional().describe('100 when left out'),
});

/** Jobs on record. */
export function recordRoutes(doors: Doors): Route[] {
  const { log } = doors;
  return [
    route({
      method: 'get',
      path: '/api/records',
      about: 'Jobs on record, the one written to last first.',
      who: 'signed-in',
      query: Which,
      answer: Summaries,
      does: async ({ query }) => {
        const limit = query.limit ?? 100;
        const heads = await log.page({
          limit: limit + 1,
          ...(query.status ? { ended: query.status === 'ended' } : {}),
          ...(query.after === undefined ? {} : { after: placeOf(query.after) }),
        });
        const records = heads.slice(0, limit).map(summary);
        const last = heads.length > limit ? heads[limit - 1] : undefined;
        return { records, next: last ? markOf(last) : null };
      },
    }),
    route({
      method: 'get',
      path: '/api/records/{ro}',
      about: 'The events of a job behind the `from`-th, its chain verified.',
      who: 'signed-in',
      query: z.strictObject({ from: Whole.optional() }),
      answer: Served,
      does: async ({ param, query }) => {
        const record = await log.read(param('ro'));
        if (!record) throw new No(404, `there is no job ${param('ro')} on record`);
        return served(record, query.from ?? 0);
      },
    }),
    route({
      method: 'post',
      path: '/api/records/{ro}',
      about: 'Says what happened; each command is taken or refused by itself. Sent twice it is taken once.',
      who: 'signed-in',
      headers: z.object({ 'x-version': Whole.optional().describe('how many events the tablet has') }),
      body: { name: 'commands', shape: Commands, most: MOST_BYTES },
      answer: Answered,
      does: async ({ param, body, headers, caller }) => {
        const ro = Word.safeParse(param('ro'));
        if (!ro.success || ro.data !== param('ro')) throw new No(404, 'this is no number of a repair order');
        const { outcomes, record } = await take(doors, ro.data, body.commands, caller.person);
        const had = headers['x-version'] ?? 0;
        return { outcomes, record: record ? served(record, had) : null };
      },
    }),
  ];
}

/** Events behind the `from`-th kept one; all of them where the tablet claims to have more than there are. */
export function served({ job, version, hash, entries }: JobRecord, from: number): Served {
  const behind = from <= version ? from : 0;
  const events = entries.slice(behind).flatMap((entry) => upcast(entry.event));
  return { ro: job, version, hash, from: behind, events };
}

function summary({ job, version, status, opened, written, rulebook }: Head): Summaries['records'][number] {
  return { ro: job, version, status, opened, written, rulebook };
}

function markOf({ written, job }: Head): string {
  return Buffer.from(JSON.stringify([written, job])).toString('base64url');
}

const Place = z.tuple([z.iso.datetime(), z.string().max(200)]);

function placeOf(mark: string): { written: string; job: string } {
  try {
    const [written, job] = Place.parse(JSON.parse(Buffer.from(mark, 'base64url').toString('utf8')));
    return { written, job };
  } catch {
    throw new No(422, 'query: `after` is not the `next` of a page');
  }
}
