import { z } from 'zod';
import { TraitAnswer } from '../resolve/facts.ts';
import { type Command, type CommandType, COMMANDS } from './commands.ts';
import { EventId, Flip, Word } from './values.ts';

/**
 * What is kept: a command with its version and with what was derived when it was taken. Events are never edited; when
 * a shape changes its version goes up and upcast.ts learns to read the old one.
 */

const flips = { flips: z.array(Flip).describe('verdicts that this turned round; shown') };

/** Said without knowledge of another answer to what can hurt somebody: it is kept beside that, and a person decides. */
const apart = { rival: z.literal(true).optional() };
/** Said by somebody who did not know that the step had ended: kept, and no round of its own. */
const beside = { beside: z.literal(true).optional() };

const v = <N extends number>(version: N) => ({ v: z.literal(version) });

export const EVENTS = {
  opened: COMMANDS.opened.extend(v(1)),
  'came-back': COMMANDS['came-back'].extend(v(1)),
  'vehicle-told': COMMANDS['vehicle-told'].extend({ ...v(1), corrects: z.boolean(), ...flips }),
  'trait-told': COMMANDS['trait-told'].extend({ ...v(1), was: TraitAnswer.optional(), ...apart, ...flips }),
  'line-added': COMMANDS['line-added'].extend({ ...v(1), ...flips }),
  'line-struck': COMMANDS['line-struck'].extend({ ...v(1), ...flips }),
  promised: COMMANDS.promised.extend(v(1)),
  parked: COMMANDS.parked.extend(v(1)),
  'work-done': COMMANDS['work-done'].extend({ ...v(1), ...flips }),
  'work-not-done': COMMANDS['work-not-done'].extend({ ...v(1), ...flips }),
  answered: COMMANDS.answered.extend({ ...v(1), corrects: z.boolean(), ...apart, ...flips }),
  started: COMMANDS.started.extend({ ...v(1), way: Word, ...beside }),
  noted: COMMANDS.noted.extend({ ...v(1), ...beside }),
  took: COMMANDS.took.extend({
    ...v(1),
    way: Word,
    rival: z.boolean().describe('it already took, with another answer'),
  }),
  closed: COMMANDS.closed.extend(v(1)),
  'did-not-take': COMMANDS['did-not-take'].extend({ ...v(1), way: Word, try: z.int().min(1), ...apart }),
  stuck: COMMANDS.stuck.extend({ ...v(1), ...apart }),
  'sent-out': COMMANDS['sent-out'].extend(v(1)),
  returned: COMMANDS.returned.extend({ ...v(1), way: Word }),
  waiting: COMMANDS.waiting.extend(v(1)),
  'not-done': COMMANDS['not-done'].extend({ ...v(1), ...apart }),
  'answer-chosen': COMMANDS['answer-chosen'].extend(v(1)),
  'ruled-out': COMMANDS['ruled-out'].extend(v(1)),
  'photo-attached': COMMANDS['photo-attached'].extend(v(1)),
  scanned: COMMANDS.scanned.extend({ ...v(1), ...flips }),
  'codes-cleared': COMMANDS['codes-cleared'].extend(v(1)),
  'readiness-read': COMMANDS['readiness-read'].extend(v(1)),
  lamps: COMMANDS.lamps.extend(v(1)),
  explained: COMMANDS.explained.extend(v(1)),
  'set-up-left': COMMANDS['set-up-left'].extend(v(1)),
  'night-passed': COMMANDS['night-passed'].extend({ ...v(1), lapsed: z.array(Word) }),
  'state-lapsed': COMMANDS['state-lapsed'].extend(v(1)),
  'state-ended': COMMANDS['state-ended'].extend(v(1)),
  'outcome-told': COMMANDS['outcome-told'].extend(v(1)),
  'item-noted': COMMANDS['item-noted'].extend(v(1)),
  'item-note-struck': COMMANDS['item-note-struck'].extend(v(1)),
  'sent-back': COMMANDS['sent-back'].extend(v(1)),
  checked: COMMANDS.checked.extend({ ...v(1), independent: z.boolean() }),
  released: COMMANDS.released.extend({
    ...v(1),
    owner: z.array(Word).describe('steps that end with the owner and stand on the hand-over'),
    undetermined: z.array(Word).describe('printed as not determined'),
    independent: z.boolean().describe('false prints "not independently checked"'),
  }),
  'left-unfinished': COMMANDS['left-unfinished'].extend({ ...v(1), open: z.array(Word) }),
  reopened: COMMANDS.reopened.extend(v(1)),
  'rulebook-changed': COMMANDS['rulebook-changed'].extend({ ...v(1), from: Word }),
} as const satisfies Record<CommandType, z.ZodObject>;

type Kept = typeof EVENTS;
export type JobEvent = { [T in CommandType]: z.infer<Kept[T]> }[CommandType];
export type EventOf<T extends CommandType> = Extract<JobEvent, { type: T }>;

export const JobEvent = z.discriminatedUnion(
  'type',
  Object.values(EVENTS) as unknown as [Kept[CommandType], ...Kept[CommandType][]],
);

/** An event that follows from another one bears its id with a figure behind it. */
export function followingId(command: Command, count: number): string {
  return EventId.parse(`${command.id.slice(0, 60)}-${count}`);
}
