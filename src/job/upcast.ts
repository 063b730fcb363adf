import { z } from 'zod';
import { JobFile } from '../resolve/facts.ts';
import { EVENTS, JobEvent } from './events.ts';
import { Time, Word } from './values.ts';

/**
 * Reads what was kept, whatever version wrote it. Old shapes are turned into today's here and nowhere else; nothing that
 * was kept is edited. Throws a sentence naming the event where it cannot be read: a record is never read in part.
 */

/** Turns one kept event into those that say the same a version later. */
export type Upcaster = (kept: Kept) => readonly Kept[];
/** By type, the upcaster from each old version: from v1 at 1, and so on. */
export type Upcasters = Readonly<Record<string, Readonly<Record<number, Upcaster>>>>;

export const Kept = z.looseObject({
  type: z.string(),
  v: z.int().min(0).default(0),
  id: z.string(),
  at: Time,
  by: Word,
});
export type Kept = z.infer<typeof Kept>;

/** Before there were events a job was kept as one file, which each change replaced. */
const JobKept = Kept.extend({ job: JobFile, rulebook: Word });

const UPCASTERS: Upcasters = { job: { 0: fromJobFile } };

export function upcast(kept: unknown, upcasters: Upcasters = UPCASTERS): JobEvent[] {
  return toToday(kept, upcasters).map((event) => {
    const read = JobEvent.safeParse(event);
    if (read.success) return read.data;
    const { path, message } = read.error.issues[0] as z.core.$ZodIssue;
    throw new Error(
      `event ${event.id} (${event.type}, version ${event.v}) can not be read: /${path.join('/')}: ${message}`,
    );
  });
}

function toToday(kept: unknown, upcasters: Upcasters): Kept[] {
  const read = Kept.safeParse(kept);
  if (!read.success)
    throw new Error(
      `this is no event: ${read.error.issues.map((i) => `/${i.path.join('/')}: ${i.message}`).join('; ')}`,
    );
  const event = read.data;
  const known = Object.hasOwn(EVENTS, event.type) ? EVENTS[event.type as keyof typeof EVENTS] : undefined;
  const today = known?.shape.v.value;
  if (event.v === today) return [event];
  const older = Object.hasOwn(upcasters, event.type) ? upcasters[event.type] : undefined;
  const turn = older && Object.hasOwn(older, event.v) ? older[event.v] : undefined;
  if (turn) return turn(event).flatMap((next) => toToday(next, upcasters));
  const newer = today === undefined || event.v > today;
  throw new Error(
    `event ${event.id} (${event.type}, version ${event.v}) is ${newer ? 'from a newer program than this one: bring this one up to date' : 'of a version that nothing here can read'}`,
  );
}

function fromJobFile(kept: Kept): Kept[] {
  const { job, rulebook, id, at, by } = JobKept.parse(kept);
  const { traits = {}, ...vehicle } = job.vehicle ?? {};
  const say = (tail: string, type: string, told: object): Kept => ({
    id: `${id}-${tail}`,
    v: 1,
    type,
    at,
    by,
    ...told,
  });
  const scans = (['before', 'after'] as const).flatMap((when) =>
    job.codes?.[when]
      ? [say(when, 'scanned', { when, codes: job.codes[when].map((code) => ({ code })), flips: [] })]
      : [],
  );
  const lineIds = job.work.map((_, i) => `${id}-line${i}`);
  const answers = Object.entries(job.answers ?? {}).map(([question, answer], i) =>
    say(`answer${i}`, 'answered', {
      question: question.replace(/^at:(\d+)(?=>|$)/, (_, n) => `at:line-${lineIds[Number(n)]}`),
      answer,
      corrects: false,
      flips: [],
    }),
  );
  return [
    say('opened', 'opened', { ro: job.ro, rulebook, units: 'metric', ...(job.tools ? { tools: job.tools } : {}) }),
    ...(Object.keys(vehicle).length > 0
      ? [say('vehicle', 'vehicle-told', { vehicle, corrects: false, flips: [] })]
      : []),
    ...Object.entries(traits).map(([trait, answer], i) => say(`trait${i}`, 'trait-told', { trait, answer, flips: [] })),
    ...job.work.map((line, i) => say(`line${i}`, 'line-added', { line, flips: [] })),
    ...scans,
    ...(job.promised ? [say('promised', 'promised', { time: job.promised })] : []),
    ...(job.parked ? [say('parked', 'parked', { place: job.parked })] : []),
    ...(job['work-done'] ? [say('done', 'work-done', { flips: [] })] : []),
    ...answers,
  ];
}
