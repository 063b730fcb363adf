import { z } from 'zod';
import type { Doors } from '../doors.ts';
import { Lessons } from '../learning.ts';
import { type Route, route } from '../route.ts';

const count = z.int().min(0);
const counts = { asked: count, done: count, skipped: count, overridden: count };
const Note = z.strictObject({ ro: z.string(), was: z.enum(['wrong', 'missing']), note: z.string().optional() });

const Answer = z.strictObject({
  jobs: count.describe('jobs on record'),
  read: count.describe('of these, read so far; ask again where it is less'),
  counted: count.describe('finished jobs that are in the counts'),
  rules: z.array(
    z.strictObject({
      followUp: z.string(),
      title: z.string(),
      safety: z.boolean(),
      ...counts,
      why: z.record(z.string(), count).describe('how often for which reason it was passed over'),
      cameBack: count,
      triggers: z.array(z.strictObject({ because: z.string(), ...counts, noise: z.boolean() })),
      notes: z.array(Note),
    }),
  ),
  noise: z.array(z.strictObject({ followUp: z.string(), title: z.string(), safety: z.boolean(), because: z.string() })),
  missing: z.array(Note).describe('noted as missing where no rule has it'),
  uncounted: z.array(z.strictObject({ ro: z.string(), because: z.string() })),
});

/** What finished jobs say of the rules. Rules are judged, not people: no name is in it. */
export function learningRoutes(doors: Doors): Route[] {
  const lessons = new Lessons(doors);
  return [
    route({
      method: 'get',
      path: '/api/learning',
      about:
        'What became of each rule on the jobs on record; what was passed over, noted as wrong or brought cars back.',
      who: ['keeper', 'foreman'],
      answer: Answer,
      does: () => lessons.learned(),
    }),
  ];
}
