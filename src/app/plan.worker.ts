import { checklist, type Checklist } from '../checklist.ts';
import { fold } from '../job/evolve.ts';
import { type Sight, sightOf } from '../job/sight.ts';
import type { Job } from '../job/state.ts';
import { upcast } from '../job/upcast.ts';
import { type Facts, type JobFile, readFacts } from '../resolve/facts.ts';
import type { Fault } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readBook, type RuleBundle } from './book.ts';
import type { Refusal } from './not-taken.ts';
import { throughQueue } from './record-queue.ts';
import type { RecordState } from './record-state.ts';

/** What the planner is told. The rules in force come once, before anything else; other versions when a record is pinned to one. */
export type Ask =
  | { readonly ask: 'rules'; readonly bundle: RuleBundle }
  | { readonly ask: 'plan'; readonly ticket: number; readonly job: JobFile; readonly record?: RecordState | undefined }
  | { readonly ask: 'why-not'; readonly ticket: number; readonly job: JobFile; readonly rulebook?: string | undefined };

export type Answer =
  | { readonly answer: 'ready' }
  | { readonly answer: 'plan'; readonly ticket: number; readonly made: Made }
  | { readonly answer: 'why-not'; readonly ticket: number; readonly excluded: Checklist['excluded'] };

/** What follows from a job. */
export interface Made {
  /** What keeps the job from being planned: a part or trait that this rulebook does not know. */
  readonly faults: readonly Fault[];
  readonly facts: Facts | undefined;
  readonly list: Checklist | undefined;
  /** What has become of its steps; of a sheet that is only written up, as if it had just been opened. */
  readonly sight: Sight | undefined;
  /** Commands that wait on this tablet and that the record would not take. */
  readonly refused: readonly Refusal[];
}

/** One end of a channel: a worker's own, or a port in the page. */
interface End {
  onmessage: ((event: MessageEvent<Ask>) => void) | null;
  postMessage(answer: Answer): void;
}

/** Answers what comes in at one end, in turn. */
function planAt(end: End): void {
  const books = new Map<string, Rulebook>();
  const folded = new Folded();
  let force = '';
  end.onmessage = ({ data }) => {
    if (data.ask === 'rules') {
      const book = readBook(data.bundle);
      books.set(book.version, book);
      force ||= book.version;
      end.postMessage({ answer: 'ready' });
      return;
    }
    const inForce = books.get(force);
    if (!inForce) throw new Error('asked to plan before the rules came');
    const { ticket, job } = data;
    if (data.ask === 'why-not')
      end.postMessage({
        answer: 'why-not',
        ticket,
        excluded: whyNot(job, books.get(data.rulebook ?? force) ?? inForce),
      });
    else
      end.postMessage({
        answer: 'plan',
        ticket,
        made: data.record ? makeRecord(data.record, books, folded) : makeDraft(job, inForce),
      });
  };
}

/** A sheet that is only written up is shown as the record would begin with it. */
function makeDraft(job: JobFile, rulebook: Rulebook): Made {
  const { facts, faults } = readFacts(job, rulebook);
  if (!facts) return { faults, facts, list: undefined, sight: undefined, refused: [] };
  return guarded(() => {
    const kept = { type: 'job', v: 0, id: 'draft', at: NEVER, by: 'nobody', job, rulebook: rulebook.version };
    const sight = sightOf(fold(upcast(kept)), rulebook);
    return { faults, facts, list: sight.checklist, sight, refused: [] };
  });
}

const NEVER = '1970-01-01T00:00:00Z';

function makeRecord(state: RecordState, books: ReadonlyMap<string, Rulebook>, folded: Folded): Made {
  return guarded(() => {
    const { job, refused, lacks } = throughQueue(folded.job(state), state, books);
    const rulebook = books.get(job.rulebook);
    if (lacks || !rulebook) return { ...NOTHING, faults: [fault(`rulebook ${lacks} is not on this tablet`)], refused };
    const sight = sightOf(job, rulebook);
    const { facts, faults } = readFacts(sight.sheet.file, rulebook);
    return { faults, facts, list: sight.checklist, sight, refused };
  });
}

const NOTHING: Made = { faults: [], facts: undefined, list: undefined, sight: undefined, refused: [] };

/** Jobs folded before, so that of a long record only the new events are. */
class Folded {
  private readonly jobs = new Map<string, Job>();

  job({ ro, events }: RecordState): Job {
    const had = this.jobs.get(ro);
    // The same events as far as they were folded: a record only grows, but another tablet's answer may replace ours.
    const on = had && had.seq <= events.length && (had.seq === 0 || had.seen.has(events[had.seq - 1]?.id ?? ''));
    const job = on ? fold(events.slice(had.seq), had) : fold(events);
    this.jobs.set(ro, job);
    return job;
  }
}

/** One job that cannot be planned must not take the sheets of the other cars away. */
function guarded(make: () => Made): Made {
  try {
    return make();
  } catch (error) {
    console.error(error);
    return { ...NOTHING, faults: [fault(`could not be planned (${String(error)})`)] };
  }
}

function fault(message: string): Fault {
  return { file: 'job', pointer: '', message };
}

function whyNot(job: JobFile, rulebook: Rulebook): Checklist['excluded'] {
  const { facts } = readFacts(job, rulebook);
  return facts ? checklist(facts, rulebook, { all: true }).excluded : [];
}

// Loaded as a worker it answers its page; loaded by the page itself it waits to be given an end, and leaves word in a
// global, for what a worker's script exports is lost in building.
if (typeof document === 'undefined') planAt(globalThis as unknown as End);
else Object.assign(globalThis, { lastBoltPlanAt: planAt });
