import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Command, CommandType } from './commands.ts';
import { ASIDE } from './decide-aside.ts';
import { ENDINGS } from './decide-ending.ts';
import { FACTS } from './decide-facts.ts';
import { LEARNED } from './decide-learned.ts';
import { STEPS } from './decide-steps.ts';
import { WITNESSED } from './decide-witnessed.ts';
import { evolve } from './evolve.ts';
import { EVENTS, followingId, type JobEvent } from './events.ts';
import { faultsOf, flipsBetween, kindsOf } from './facts.ts';
import { followUpOf } from './situation.ts';
import type { Job } from './state.ts';
import type { Shop, Turn } from './turn.ts';
import { sentence } from './values.ts';

export type { Shop } from './turn.ts';

export type Decision = { readonly events: readonly JobEvent[] } | { readonly refused: readonly string[] };

const TURNS = { ...FACTS, ...STEPS, ...ASIDE, ...WITNESSED, ...LEARNED, ...ENDINGS } as const satisfies {
  readonly [T in CommandType]: Turn<T>;
};
const AFTER_THE_END: readonly CommandType[] = [
  'reopened',
  'photo-attached',
  'outcome-told',
  'item-noted',
  'item-note-struck',
];

/** Whether the record takes a command, and the events that come of it. Sent twice, the second brings nothing. */
export function decide(command: Command, job: Job, shop: Shop): Decision {
  if (job.seen.has(command.id)) return { events: [] };
  const untimely = outOfPlace(command, job);
  if (untimely) return refuse(untimely);
  const version = 'rulebook' in command ? command.rulebook : job.rulebook;
  const rulebook = shop.rulebook(version);
  if (!rulebook) return refuse(`rulebook ${version} is not at hand, and no other may take its place`);
  const turn = TURNS[command.type] as Turn<CommandType>;
  const added = turn(command as never, job, { rulebook, shop });
  if (isRefusal(added)) return { refused: added.map(sentence) };
  const event = { ...command, ...added, v: 1 } as JobEvent;
  const told = 'flips' in EVENTS[command.type].shape ? withFlips(event, job, rulebook) : event;
  return isRefusal(told) ? { refused: told.map(sentence) } : { events: [told, ...following(command, told, rulebook)] };
}

function refuse(text: string): Decision {
  return { refused: [sentence(text)] };
}

function isRefusal(answer: object): answer is readonly string[] {
  return Array.isArray(answer);
}

function outOfPlace(command: Command, job: Job): string | undefined {
  const opens = command.type === 'opened' || command.type === 'came-back';
  if (job.status === 'unopened') return opens ? undefined : 'the job is not opened yet: open it first';
  if (opens) return `job ${job.ro} is open already, since it was written up`;
  if (job.status === 'open' && command.type === 'reopened') return `job ${job.ro} is open: there is nothing to reopen`;
  if (job.status === 'open' || AFTER_THE_END.includes(command.type)) return undefined;
  return `job ${job.ro} is ${job.status === 'released' ? 'released' : 'left unfinished'}: reopen it first, and say why`;
}

/** Facts have to be such as the rulebook knows; what they turn round is written down with them. */
function withFlips(event: JobEvent, job: Job, rulebook: Rulebook): JobEvent | readonly string[] {
  const after = evolve(job, { ...event, flips: [] } as JobEvent);
  const faults = faultsOf(after, rulebook);
  if (faults.length > 0) return faults;
  return { ...event, flips: flipsBetween(kindsOf(job, rulebook), kindsOf(after, rulebook)) } as JobEvent;
}

/** The try that was one too many. */
function following(command: Command, event: JobEvent, rulebook: Rulebook): JobEvent[] {
  if (event.type !== 'did-not-take' || event.rival) return [];
  const tries = followUpOf(event.step, rulebook).ways.find((way) => way.id === event.way)?.text.tries;
  if (!tries || event.try < tries.most) return [];
  const { at, by, step } = event;
  return [{ type: 'stuck', v: 1, id: followingId(command, 2), at, by, step, why: tries.then }];
}
