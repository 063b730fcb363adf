import { type Checklist, checklist } from '../checklist.ts';
import { type Facts, type JobFile, readFacts } from '../resolve/facts.ts';
import type { Fault } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readBook, type RuleBundle } from './book.ts';

/** What the planner is told. The rules come once, before anything else. */
export type Ask =
  | { readonly ask: 'rules'; readonly bundle: RuleBundle }
  | { readonly ask: 'plan'; readonly ticket: number; readonly job: JobFile }
  | { readonly ask: 'why-not'; readonly ticket: number; readonly job: JobFile };

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
}

/** One end of a channel: a worker's own, or a port in the page. */
interface End {
  onmessage: ((event: MessageEvent<Ask>) => void) | null;
  postMessage(answer: Answer): void;
}

/** Answers what comes in at one end, in turn. */
function planAt(end: End): void {
  let rulebook: Rulebook | undefined;
  end.onmessage = ({ data }) => {
    if (data.ask === 'rules') {
      rulebook = readBook(data.bundle);
      end.postMessage({ answer: 'ready' });
      return;
    }
    if (!rulebook) throw new Error('asked to plan before the rules came');
    const { ticket, job } = data;
    if (data.ask === 'plan') end.postMessage({ answer: 'plan', ticket, made: make(job, rulebook) });
    else end.postMessage({ answer: 'why-not', ticket, excluded: whyNot(job, rulebook) });
  };
}

function make(job: JobFile, rulebook: Rulebook): Made {
  const { facts, faults } = readFacts(job, rulebook);
  try {
    return { facts, faults, list: facts && checklist(facts, rulebook) };
  } catch (error) {
    // One job that cannot be planned must not take the sheets of the other cars away.
    console.error(error);
    const fault = { file: 'job', pointer: '', message: `could not be planned (${String(error)})` };
    return { facts, faults: [...faults, fault], list: undefined };
  }
}

function whyNot(job: JobFile, rulebook: Rulebook): Checklist['excluded'] {
  const { facts } = readFacts(job, rulebook);
  return facts ? checklist(facts, rulebook, { all: true }).excluded : [];
}

// Loaded as a worker it answers its page; loaded by the page itself it waits to be given an end, and leaves word in a
// global, for what a worker's script exports is lost in building.
if (typeof document === 'undefined') planAt(globalThis as unknown as End);
else Object.assign(globalThis, { lastBoltPlanAt: planAt });
