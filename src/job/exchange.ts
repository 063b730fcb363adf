import { z } from 'zod';
import { Id } from '../rulebook/schema.ts';
import { Command } from './commands.ts';
import { JobEvent } from './events.ts';
import { Person, Role } from './people.ts';
import { EventId, Sentence, Time, Word } from './values.ts';

/** What a tablet and the server say to each other; both check it by these. Every refusal is `{ error: SENTENCE }`. */

/** Four to eight digits: what can be typed with gloves on. */
export const Pin = z.string().regex(/^\d{4,8}$/, { error: 'is no PIN: four to eight digits' });

export const SignIn = z.strictObject({ person: Id, pin: Pin });

/** Whoever is signed in on this tablet. `token` goes back with every change, in the header `x-token`. */
export const Session = z.strictObject({
  person: Person,
  token: z.string(),
  until: Time.describe('when it locks, unless something is done before'),
});
export type Session = z.infer<typeof Session>;

/** What anybody sees before signing in. */
export const Door = z.strictObject({
  shop: z.string(),
  people: z.array(Person),
  first: z.boolean().describe('nobody works here yet: the first foreman is made with the code that the server printed'),
  session: Session.nullable(),
  demo: z.string().optional().describe('the PIN of every invented person, in a shop that is only shown'),
  locksAfter: z.int().min(1).describe('minutes without a touch'),
});
export type Door = z.infer<typeof Door>;

export const FirstForeman = z.strictObject({ code: Word, name: Word, pin: Pin, shop: Word });
export const NewPerson = z.strictObject({ name: Word, roles: z.array(Role).min(1), pin: Pin });
export const ChangedPerson = z.strictObject({
  name: Word.optional(),
  roles: z.array(Role).min(1).optional(),
  pin: Pin.optional(),
  old: Pin.optional().describe('the PIN so far, which whoever changes their own has to know'),
  gone: z.boolean().optional(),
});

export const Shop = z.strictObject({
  name: Word,
  alone: z
    .boolean()
    .describe('one person: who did a step may check it, and the papers say "not independently checked"'),
  units: z.enum(['metric', 'us']),
  tools: z.array(Id).nullable().describe('tools in the shop; null = all'),
  'lock-minutes': z.int().min(1).max(10).default(10),
  'keep-years': z.int().min(3).max(30).default(3).describe('16 CCR 3358: three years at least'),
});
export type Shop = z.infer<typeof Shop>;

/** A job as the bay sheet lists it, without its events. */
export const Summary = z.strictObject({
  ro: Word,
  version: z.int().min(1),
  status: z.enum(['open', 'released', 'left-unfinished']),
  opened: Time,
  written: Time,
  rulebook: Word,
});
export type Summary = z.infer<typeof Summary>;

export const Summaries = z.strictObject({
  records: z.array(Summary),
  next: z.string().nullable().describe('goes into `after` for the next page; null = this was the last'),
});

export type Summaries = z.infer<typeof Summaries>;

/** Events behind the `from`-th, personal fields shown to whoever may read the job. */
export const Served = z.strictObject({
  ro: Word,
  version: z.int().min(1),
  hash: z.string().regex(/^[0-9a-f]{64}$/),
  from: z.int().min(0),
  events: z.array(JobEvent),
});
export type Served = z.infer<typeof Served>;

export const Commands = z.strictObject({ commands: z.array(Command).min(1).max(200) });

/** What became of each command, in their order; one that is refused does not hold up the others. */
export const Outcome = z.discriminatedUnion('is', [
  z.strictObject({ is: z.literal('taken'), id: EventId }),
  z.strictObject({ is: z.literal('refused'), id: EventId, refused: z.array(Sentence).min(1) }),
]);
export type Outcome = z.infer<typeof Outcome>;

/** The record as it stands behind the commands; `events` are those behind the `x-version` that the tablet had. */
export const Answered = z.strictObject({ outcomes: z.array(Outcome), record: Served.nullable() });
export type Answered = z.infer<typeof Answered>;

/** One server-sent event; `draft` = a written-up sheet that is not opened yet, `anew`: something was missed, look again. */
export const Live = z.discriminatedUnion('type', [
  z.strictObject({ type: z.literal('record'), ro: Word, version: z.int(), status: Summary.shape.status }),
  z.strictObject({ type: z.literal('draft'), ro: Word }),
  z.strictObject({ type: z.literal('anew') }),
  z.strictObject({ type: z.literal('here'), ro: Word, step: z.string().max(200), person: Word, gone: z.boolean() }),
]);
export type Live = z.infer<typeof Live>;

/** Where somebody's hands are; no step = nowhere any more. */
export const Here = z.strictObject({ ro: Word, step: z.string().max(200) });
