import type { CommandType } from './commands.ts';
import type { EventOf, JobEvent } from './events.ts';
import { evolveStep, type StepEvent } from './evolve-step.ts';
import { type Answered, type Job, type Mark, UNOPENED } from './state.ts';
import type { Flip } from './values.ts';

/** The job after all of its events. */
export function fold(events: Iterable<JobEvent>, from: Job = UNOPENED): Job {
  let job = from;
  for (const event of events) job = evolve(job, event);
  return job;
}

/** One event further. Never refuses: what may happen is decided before, what did happen is only told here. */
export function evolve(before: Job, event: JobEvent): Job {
  const seq = before.seq + 1;
  const { id, at, by, tablet } = event;
  const mark: Mark = { seq, event: id, at, by, ...(tablet === undefined ? {} : { tablet }) };
  const job: Job = { ...before, seq, seen: new Set(before.seen).add(event.id) };
  const told =
    'flips' in event
      ? { ...job, flips: [...job.flips, ...event.flips.map((flip: Flip) => ({ ...flip, ...mark }))] }
      : job;
  const turn = TURNS[event.type] as Turn<CommandType> | undefined;
  return turn ? turn(told, event as never, mark) : evolveStep(told, event as StepEvent, mark);
}

type Turn<T extends CommandType> = (job: Job, event: EventOf<T>, mark: Mark) => Job;

const opened = (job: Job, event: EventOf<'opened'> | EventOf<'came-back'>): Job => ({
  ...job,
  status: 'open',
  ro: event.ro,
  rulebook: event.rulebook,
  units: event.units,
  ...(event.tools ? { tools: event.tools } : {}),
});

/** Everything that is not about one step. */
const TURNS: { readonly [T in CommandType]?: Turn<T> } = {
  opened,
  'came-back': (job, event) => ({ ...opened(job, event), cameBack: { ...event.old, complaint: event.complaint } }),
  'vehicle-told': (job, { vehicle, cleared = [] }) => {
    const told = { ...job.vehicle, ...vehicle };
    for (const field of cleared) delete told[field];
    return { ...job, vehicle: told };
  },
  'trait-told': (job, { trait, answer, rival }, mark) => {
    if (rival) {
      const first = { ...(job.traitsTold.get(trait) ?? mark), answer: job.traits.get(trait) };
      return { ...dispute(job, trait, first, { ...mark, answer }), traits: without(job.traits, trait) };
    }
    return {
      ...job,
      traits: answer === undefined ? without(job.traits, trait) : put(job.traits, trait, answer),
      traitsTold: put(job.traitsTold, trait, mark),
      disputed: without(job.disputed, trait),
    };
  },
  'line-added': (job, event, mark) => {
    const more = { ...job, lines: [...job.lines, { ...mark, id: event.id, text: event.line }] };
    // More work is written up: the work as a whole is not done until somebody says so again.
    delete more.workDone;
    return more;
  },
  'line-struck': (job, event, mark) => ({
    ...job,
    lines: job.lines.map((line) =>
      line.id === event.line ? { ...line, struck: { ...mark, because: event.because } } : line,
    ),
  }),
  promised: (job, { time }) => {
    const { promised: _, ...rest } = job;
    return time === undefined ? rest : { ...rest, promised: time };
  },
  parked: (job, { place }) => {
    const { parked: _, ...rest } = job;
    return place === undefined ? rest : { ...rest, parked: place };
  },
  'work-done': (job, _, mark) => ({ ...job, workDone: mark, touched: mark.seq }),
  'work-not-done': (job, _, mark) => {
    const open = { ...job, touched: mark.seq };
    delete open.workDone;
    return open;
  },
  answered: (job, { question, answer, rival }, mark) => {
    const first = job.answers.get(question);
    if (rival)
      return {
        ...dispute(job, question, first ?? { ...mark, answer }, { ...mark, answer }),
        answers: without(job.answers, question),
      };
    return {
      ...job,
      disputed: without(job.disputed, question),
      answers: answer === undefined ? without(job.answers, question) : put(job.answers, question, { ...mark, answer }),
    };
  },
  'ruled-out': (job, { step, photo, because }, mark) => ({
    ...job,
    ruledOut: put(job.ruledOut, step, { ...mark, photo, because }),
  }),
  'photo-attached': (job, { hash, step, shows }, mark) => ({
    ...job,
    photos: put(job.photos, hash, { ...mark, ...(step ? { step } : {}), ...(shows ? { shows } : {}) }),
  }),
  scanned: (job, { when, codes }, mark) => ({
    ...job,
    scans: { ...job.scans, [when]: { ...mark, codes } },
    codes: new Set([...job.codes, ...codes.map((c) => c.code)]),
  }),
  'codes-cleared': (job, _, mark) => ({ ...job, touched: mark.seq, cleared: mark }),
  'readiness-read': (job, { when, modules, counters, permanent, doubts, unread }, mark) => ({
    ...job,
    readiness: { ...job.readiness, [when]: { ...mark, modules, counters, permanent, doubts, unread } },
  }),
  lamps: (job, { when, lit }, mark) => ({ ...job, lamps: { ...job.lamps, [when]: { ...mark, lit } } }),
  explained: (job, { about, because }, mark) => ({
    ...job,
    explained: put(job.explained, 'code' in about ? `code:${about.code}` : `lamp:${about.lamp}`, { ...mark, because }),
  }),
  'set-up-left': (job, { setup, note }, mark) => ({
    ...job,
    touched: mark.seq,
    setUpLeft: { ...mark, setup, ...(note ? { note } : {}) },
  }),
  'night-passed': (job, event, mark) => ({
    ...job,
    lapsed: event.lapsed.reduce((lapsed, state) => put(lapsed, state, mark), job.lapsed),
  }),
  'state-lapsed': (job, event, mark) => ({ ...job, lapsed: put(job.lapsed, event.state, mark) }),
  'state-ended': (job, { state, photo, because }, mark) => ({
    ...job,
    touched: mark.seq,
    ended: put(job.ended, state, { ...mark, photo, because }),
  }),
  'outcome-told': (job, { cause, followUp, note }, mark) => ({
    ...job,
    outcomes: [...job.outcomes, { ...mark, cause, ...(followUp ? { followUp } : {}), ...(note ? { note } : {}) }],
  }),
  'item-noted': (job, { step, was, note }, mark) => ({
    ...job,
    itemNotes: [...job.itemNotes, { ...mark, was, ...(step ? { step } : {}), ...(note ? { note } : {}) }],
  }),
  'item-note-struck': (job, { noted }) => ({
    ...job,
    itemNotes: job.itemNotes.filter(({ event }) => event !== noted),
  }),
  checked: (job, { item, value, independent }, mark) => ({
    ...job,
    checks: put(job.checks, item, { ...mark, value, independent }),
  }),
  released: (job, event) => ({ ...job, status: 'released', ending: event }),
  'left-unfinished': (job, event) => ({ ...job, status: 'left-unfinished', ending: event }),
  // What was read off the car when it left says nothing of the car that comes in again.
  reopened: (job, _, mark) => ({ ...job, status: 'open', touched: mark.seq }),
  'rulebook-changed': (job, event) => ({ ...job, rulebook: event.to }),
};

/** One more answer beside those there are. */
function dispute(job: Job, question: string, first: Answered, other: Answered): Job {
  return { ...job, disputed: put(job.disputed, question, [...(job.disputed.get(question) ?? [first]), other]) };
}

function put<V>(map: ReadonlyMap<string, V>, key: string, value: V): ReadonlyMap<string, V> {
  return new Map(map).set(key, value);
}

function without<V>(map: ReadonlyMap<string, V>, key: string): ReadonlyMap<string, V> {
  const left = new Map(map);
  left.delete(key);
  return left;
}
