import { z } from 'zod';
import { TraitAnswer, WorkLineText, JobFile } from '../resolve/facts.ts';
import { Id } from '../rulebook/schema.ts';
import { ReadinessTold } from './codes/readiness-told.ts';
import { CAUSE_KINDS, Code, Difference, EventId, NOT_DONE, PhotoHash, Sentence, Time, Values, Word } from './values.ts';

/**
 * What somebody says happened. Each names when, who and its own id; `decide` says whether the record takes it and adds
 * what follows from it. Names of steps are those of the plan: a follow-up's id, "#2" and so on for repeats.
 */

const base = {
  id: EventId,
  at: Time,
  by: Word.describe('who: an id or a name'),
  had: EventId.optional().describe('the last event that was on the tablet by then; left out beside a tablet: none'),
  tablet: EventId.optional().describe('on which it was said; left out: whoever said it knew all that is on record'),
};
const Step = z.string().regex(/^[a-z0-9-]+(#[0-9]+)?$/);
const told = <T extends string, S extends z.ZodRawShape>(type: T, shape: S) =>
  z.strictObject({ type: z.literal(type), ...base, ...shape });
const Vehicle = JobFile.shape.vehicle.unwrap().omit({ traits: true });
const opening = {
  ro: Word,
  rulebook: Word.describe('version, pinned from here on'),
  units: z.enum(['metric', 'us']).default('metric').describe('readings are shown in these'),
  tools: z.array(Id).optional().describe('tools in the shop; all when left out'),
};

export const COMMANDS = {
  opened: told('opened', opening),
  'came-back': told('came-back', {
    ...opening,
    old: z.strictObject({ ro: Word, rulebook: Word }),
    complaint: Sentence,
  }),
  'vehicle-told': told('vehicle-told', {
    vehicle: Vehicle.describe('fields given replace those told before'),
    cleared: z.array(Vehicle.keyof()).min(1).optional().describe('fields of which nothing is told any more'),
  }),
  'trait-told': told('trait-told', {
    trait: Id,
    answer: TraitAnswer.optional().describe('left out: it is taken back'),
  }),
  'line-added': told('line-added', { line: WorkLineText }),
  'line-struck': told('line-struck', { line: EventId, because: Sentence }),
  promised: told('promised', {
    time: Time.optional().describe(
      'when the owner was told that the car can go; left out: nothing is promised any more',
    ),
  }),
  parked: told('parked', {
    place: Word.optional().describe('where in the shop the car stands now; left out: nobody says any more'),
  }),
  'work-done': told('work-done', {}),
  'work-not-done': told('work-not-done', { because: Sentence }),
  answered: told('answered', {
    question: Word,
    answer: z
      .union([z.null(), z.string().max(200), z.number()])
      .optional()
      .describe('left out: it is taken back'),
  }),
  started: told('started', { step: Step, way: Id.optional() }),
  noted: told('noted', { step: Step, values: Values }),
  took: told('took', { step: Step, way: Id.optional(), values: Values.optional() }),
  closed: told('closed', { step: Step }),
  'did-not-take': told('did-not-take', { step: Step, why: Sentence.optional(), values: Values.optional() }),
  stuck: told('stuck', { step: Step, why: Sentence }),
  'sent-out': told('sent-out', { step: Step, firm: Word, on: z.iso.date() }),
  returned: told('returned', {
    step: Step,
    photo: PhotoHash.describe("of the firm's paper"),
    values: Values.optional(),
  }),
  waiting: told('waiting', { step: Step, part: Word, promised: z.iso.date() }),
  'not-done': told('not-done', { step: Step, reason: z.enum(NOT_DONE), note: Sentence.optional() }),
  'answer-chosen': told('answer-chosen', { step: Step, event: EventId.describe('the "took" that stands') }),
  'ruled-out': told('ruled-out', { step: Step, photo: PhotoHash, because: Sentence }),
  'photo-attached': told('photo-attached', { hash: PhotoHash, step: Step.optional(), shows: Sentence.optional() }),
  scanned: told('scanned', {
    when: z.enum(['before', 'after']),
    codes: z.array(z.strictObject({ code: Code, module: Word.optional(), text: Sentence.optional() })).max(500),
  }),
  'codes-cleared': told('codes-cleared', {}),
  'readiness-read': told('readiness-read', {
    when: z.enum(['before', 'after']),
    ...ReadinessTold.shape,
  }),
  lamps: told('lamps', {
    when: z.enum(['intake', 'release']),
    lit: z.array(Id).max(100).nullable().describe('lamps that are lit with the engine running; null = nobody looked'),
  }),
  explained: told('explained', {
    about: z.union([z.strictObject({ code: Code }), z.strictObject({ lamp: Id })]),
    because: Sentence,
  }),
  'set-up-left': told('set-up-left', {
    setup: z.record(Id, Id).describe('dimension to value, as in setups.json'),
    note: Sentence.optional().describe('what else is left in or on the car'),
  }),
  'night-passed': told('night-passed', {}),
  'state-lapsed': told('state-lapsed', { state: Id, because: Sentence }),
  'state-ended': told('state-ended', {
    state: Id.describe('one that the car must not leave with'),
    photo: PhotoHash.describe('of the car without it'),
    because: Sentence,
  }),
  'outcome-told': told('outcome-told', {
    cause: z.enum(CAUSE_KINDS).describe('what had brought the car back, once it is known'),
    followUp: Id.optional().describe('which one it was; none where no follow-up was missed'),
    note: Sentence.optional(),
  }),
  'item-noted': told('item-noted', {
    step: Step.optional().describe('left out where no follow-up of the rulebook is what is missing'),
    was: z
      .enum(['wrong', 'missing'])
      .describe('on the list though it has no business there, or not on it though it should be'),
    note: Sentence.optional().describe('for the keeper of the rules; what no rule has wants words'),
  }),
  'item-note-struck': told('item-note-struck', {
    noted: EventId.describe('the "item-noted" that its sayer takes back'),
  }),
  'sent-back': told('sent-back', { step: Step, because: Sentence }),
  checked: told('checked', { item: Word, value: z.lazy(() => Values.valueType) }),
  released: told('released', {}),
  'left-unfinished': told('left-unfinished', {
    foreman: Word,
    customer: Word,
    lines: z.array(Sentence).describe('the safety lines as the customer read them'),
  }),
  reopened: told('reopened', { because: Sentence }),
  'rulebook-changed': told('rulebook-changed', {
    to: Word,
    shown: z.array(Difference).describe('what the change makes other, as it was shown and accepted'),
    lost: z
      .array(z.string().min(1).max(400))
      .max(500)
      .optional()
      .describe('what is on record and is not asked for any more, as it was shown and accepted'),
  }),
} as const;

type Told = typeof COMMANDS;
export type CommandType = keyof Told;
export type Command = { [T in CommandType]: z.infer<Told[T]> }[CommandType];
export type CommandOf<T extends CommandType> = Extract<Command, { type: T }>;

type Unsigned<C> = C extends Command ? Omit<C, 'id' | 'at' | 'by' | 'had' | 'tablet'> : never;
/** What somebody says happened, before it is told when and by whom. */
export type Saying<T extends CommandType = CommandType> = Unsigned<CommandOf<T>>;

export const Command = z.discriminatedUnion(
  'type',
  Object.values(COMMANDS) as unknown as [Told[CommandType], ...Told[CommandType][]],
);
