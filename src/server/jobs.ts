import { type Context, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { HTTPException } from 'hono/http-exception';
import { JobFile } from '../resolve/facts.ts';
import { type Fault, printFault } from '../rulebook/fault.ts';
import { parseJson, shaped } from '../rulebook/read.ts';
import { type Jobs, Overtaken } from '../store/jobs.ts';

/** A job file of 500 lines with notes stays well under this. */
const MOST_BYTES = 1_000_000;

/**
 * GET / lists, GET /:ro reads, PUT /:ro keeps a job file, DELETE /:ro strikes it off. `if-match: "3"` says on which revision a change was made
 * ("0": the job must be new); `x-rules` names the rulebook it was planned with.
 */
export function jobRoutes(jobs: Jobs, now: () => Date): Hono {
  return new Hono()
    .get('/', async (c) => c.json({ jobs: await jobs.list() }))
    .get('/:ro', async (c) => {
      const ro = c.req.param('ro');
      const kept = await jobs.get(ro);
      return kept ? c.json(kept) : c.json({ error: `there is no job ${ro}` }, 404);
    })
    .put('/:ro', bodyLimit({ maxSize: MOST_BYTES, onError: tooLong }), async (c) => {
      const job = await readJob(c);
      return answered(c, () => jobs.put(job, c.req.header('x-rules') ?? '', now().toISOString(), basedOn(c)));
    })
    .delete('/:ro', async (c) => {
      const ro = c.req.param('ro');
      return answered(c, async () => {
        await jobs.strike(ro, basedOn(c));
        return { struck: ro };
      });
    });
}

async function answered(c: Context, change: () => Promise<object>): Promise<Response> {
  try {
    return c.json(await change());
  } catch (error) {
    if (error instanceof Overtaken) return c.json({ error: error.message, current: error.current }, 409);
    throw error;
  }
}

async function readJob(c: Context): Promise<JobFile> {
  // A form on another site can send text, but never this type without asking first.
  if (!c.req.header('content-type')?.startsWith('application/json'))
    throw refuse(415, 'a job is sent as application/json');
  const faults: Fault[] = [];
  const value = parseJson('job', await c.req.text(), faults);
  const job = faults.length === 0 ? shaped('job', value, true, JobFile, faults) : undefined;
  if (!job) throw refuse(422, faults.map(printFault).join('\n'));
  const ro = c.req.param('ro');
  if (job.ro !== ro) throw refuse(422, `job#/ro: is not the number it was sent to: \`${job.ro}\`; sent to \`${ro}\``);
  return job;
}

function basedOn(c: Context): number | undefined {
  const given = c.req.header('if-match');
  if (given === undefined) return undefined;
  const revision = /^(?:W\/)?"(\d+)"$/.exec(given)?.[1];
  if (revision === undefined) throw refuse(400, `if-match wants a revision such as "3": \`${given}\``);
  return Number(revision);
}

function tooLong(): never {
  throw refuse(413, `a job file holds at most ${MOST_BYTES} bytes`);
}

function refuse(status: 400 | 413 | 415 | 422, message: string): HTTPException {
  return new HTTPException(status, { message });
}
