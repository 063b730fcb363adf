import { setImmediate } from 'node:timers/promises';
import type { Command } from '../job/commands.ts';
import { decide } from '../job/decide.ts';
import type { JobEvent } from '../job/events.ts';
import { evolve, fold } from '../job/evolve.ts';
import type { Outcome } from '../job/exchange.ts';
import { mayNotSay, type Person, SERVER_ONLY } from '../job/people.ts';
import { type Job, UNOPENED } from '../job/state.ts';
import type { Shop } from '../job/turn.ts';
import { sentence } from '../job/values.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { type JobRecord, Overtaken } from '../store/log/contract.ts';
import { nameKey } from '../store/shop/people.ts';
import type { Doors } from './doors.ts';
import { No } from './refusal.ts';

/** A tablet's clock may go ahead of ours by this. */
export const MOST_AHEAD_MS = 5 * 60_000;
/** A tablet may come back with a job that it opened without a signal under rules that were in force then. */
const LATE_MS = 3 * 24 * 3_600_000;
/** Times that somebody else may write in between before we say so. */
const TRIES = 8;

export interface Taken {
  readonly outcomes: readonly Outcome[];
  /** As it stands behind them; undefined while the job is not opened. */
  readonly record: JobRecord | undefined;
}

type Keeping = Pick<Doors, 'log' | 'rulebooks' | 'people' | 'settings' | 'drafts' | 'hub' | 'now' | 'appended'>;

/**
 * Decides commands against the job as it stands, one after the other, and appends what comes of them at once. Where
 * another writer was faster, reads again and decides anew. Throws Tampered for a flawed job, Unavailable.
 */
export async function take(doors: Keeping, ro: string, commands: readonly Command[], by: Person): Promise<Taken> {
  const others = (await doors.people.list()).filter(({ id }) => id !== by.id);
  const { shop } = await doors.settings.get();
  for (let left = TRIES; left > 0; left--) {
    const record = await doors.log.read(ro);
    const books = await booksOf(doors, record, commands);
    const desk: Shop = { rulebook: (version) => books.get(version), alone: shop.alone };
    const { inForce } = doors.rulebooks;
    const bounds = {
      ro,
      by,
      others,
      now: doors.now(),
      inForce: inForce.version,
      lately: await latelyOf(doors, commands),
    };
    const decided = await decideAll(commands, record ? fold(record.events) : UNOPENED, desk, bounds);
    if (decided.events.length === 0) return { outcomes: decided.outcomes, record };
    try {
      const head = await doors.log.append(ro, record?.version ?? 0, decided.events);
      if (!record) await doors.drafts.strike(ro);
      doors.appended?.(decided.events.length);
      doors.hub.tell({ type: 'record', ro, version: head.version, status: head.status });
      return { outcomes: decided.outcomes, record: await doors.log.read(ro) };
    } catch (error) {
      if (!(error instanceof Overtaken)) throw error;
    }
  }
  throw new No(503, 'others write to this job all the time: send it again');
}

interface Decided {
  readonly outcomes: readonly Outcome[];
  readonly events: readonly JobEvent[];
}

async function decideAll(commands: readonly Command[], from: Job, desk: Shop, bounds: Bounds): Promise<Decided> {
  let job = from;
  const outcomes: Outcome[] = [];
  const events: JobEvent[] = [];
  const known = commands.findLastIndex(({ id }) => from.seen.has(id));
  for (const [at, told] of commands.entries()) {
    // A tablet may bring a whole day's words at once; other calls are answered in between.
    await setImmediate();
    const command: Command = { ...told, by: bounds.by.name };
    const passedOver = at < known ? PASSED_OVER : undefined;
    const why = job.seen.has(told.id) ? undefined : (passedOver ?? mayNot(told, bounds));
    const decision = why === undefined ? decide(command, job, desk) : { refused: [sentence(why)] };
    if ('refused' in decision) {
      outcomes.push({ is: 'refused', id: command.id, refused: [...decision.refused] });
      continue;
    }
    outcomes.push({ is: 'taken', id: command.id });
    events.push(...decision.events);
    job = decision.events.reduce(evolve, job);
  }
  return { outcomes, events };
}

/** Sent again it might be taken now, and stand behind what was said after it. */
const PASSED_OVER =
  'this was not taken when it was sent before, and what was said after it is on record: say it again if it still holds';

interface Bounds {
  readonly ro: string;
  readonly by: Person;
  readonly others: readonly Person[];
  readonly now: Date;
  /** Version of the rulebook. */
  readonly inForce: string;
  /** Versions that were in force lately, with the time at which they ceased to be; milliseconds, Infinity: not yet. */
  readonly lately: ReadonlyMap<string, number>;
}

/** What only the server can tell: whose word it is, when, and under which rules. */
function mayNot(command: Command, { ro, by, others, now, inForce, lately }: Bounds): string | undefined {
  const whose = others.find(({ id, name }) => id === command.by || nameKey(name) === nameKey(command.by));
  if (whose) return `this was said by ${whose.name}, and ${by.name} is signed in: ${whose.name} signs in to send it`;
  const unfit = mayNotSay(command.type, by);
  if (unfit) return unfit;
  const ahead = Date.parse(command.at) - now.getTime();
  if (ahead > MOST_AHEAD_MS)
    return `the clock of this tablet is ${Math.round(ahead / 60_000)} minutes ahead of the server's: set it right and say it again`;
  if (SERVER_ONLY.includes(command.type) && -ahead > MOST_AHEAD_MS)
    return `what lets a car go is said only with the server in reach, and by its tablet's clock this was said ${Math.round(-ahead / 60_000)} minutes ago: set the clock right, look again and say it again`;
  if ('ro' in command && command.ro !== ro) return `this opens job ${command.ro}, and was sent to job ${ro}`;
  const pinned = 'ro' in command ? command.rulebook : command.type === 'rulebook-changed' ? command.to : inForce;
  const until = lately.get(pinned) ?? 0;
  // Another server on this database has it in force: it is being brought up to date, or this one is.
  const inForceThen = until === Infinity || ('ro' in command && Date.parse(command.at) < until);
  if (pinned !== inForce && !inForceThen)
    return `rulebook ${pinned} is not in force, ${inForce} is: load the page anew, so that it plans with that`;
  if (command.type === 'left-unfinished' && nameKey(command.foreman) !== nameKey(by.name))
    return `${command.foreman} does not sign here: the foreman who is signed in does, and that is ${by.name}`;
  return undefined;
}

async function latelyOf(
  { rulebooks, now }: Keeping,
  commands: readonly Command[],
): Promise<ReadonlyMap<string, number>> {
  const lately = new Map<string, number>();
  for (const version of new Set(commands.flatMap(pinnedBy))) {
    const until = (await rulebooks.ceasedAt(version, now())) ?? -Infinity;
    if (now().getTime() - until < LATE_MS) lately.set(version, until);
  }
  return lately;
}

function pinnedBy(command: Command): string[] {
  if (command.type === 'rulebook-changed') return [command.to];
  return 'rulebook' in command ? [command.rulebook] : [];
}

async function booksOf(
  { rulebooks }: Keeping,
  record: JobRecord | undefined,
  commands: readonly Command[],
): Promise<ReadonlyMap<string, Rulebook>> {
  const named = commands.flatMap(pinnedBy);
  const books = new Map<string, Rulebook>();
  for (const version of new Set([...(record ? [record.rulebook] : []), ...named])) {
    const book = await rulebooks.rulebook(version);
    if (book) books.set(version, book);
  }
  return books;
}
