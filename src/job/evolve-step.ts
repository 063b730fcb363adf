import type { EventOf, JobEvent } from './events.ts';
import type { Job, Mark, Rival, Stage, StepRecord } from './state.ts';
import type { Values } from './values.ts';

/** Events about one step. */
export type StepEvent = Extract<
  JobEvent,
  {
    type:
      | 'started'
      | 'noted'
      | 'took'
      | 'closed'
      | 'did-not-take'
      | 'stuck'
      | 'sent-out'
      | 'returned'
      | 'waiting'
      | 'not-done'
      | 'answer-chosen'
      | 'sent-back';
  }
>;

export function evolveStep(job: Job, event: StepEvent, mark: Mark): Job {
  const unknown: StepRecord = {
    ...mark,
    stage: 'open',
    values: new Map(),
    tries: 0,
    hands: new Set(),
    changed: mark.seq,
  };
  const before = job.steps.get(event.step) ?? unknown;
  const turn = TURNS[event.type] as (record: StepRecord, event: StepEvent, mark: Mark) => StepRecord;
  const after = turn(event.type === 'closed' ? before : { ...before, changed: mark.seq }, event, mark);
  const steps = new Map(job.steps).set(event.step, after);
  const lastStep =
    event.type === 'took' || event.type === 'closed' || event.type === 'returned'
      ? { ...mark, step: event.step }
      : job.lastStep;
  return { ...job, steps, touched: mark.seq, ...(lastStep ? { lastStep } : {}) };
}

type Turns = { readonly [T in StepEvent['type']]: (record: StepRecord, event: EventOf<T>, mark: Mark) => StepRecord };

const TURNS: Turns = {
  started: (record, event, mark) =>
    event.beside
      ? { ...record, beside: mark, hands: withHand(record, event.by) }
      : {
          ...at(begun(record), 'running', mark),
          way: event.way,
          startedAt: mark,
          hands: withHand(record, event.by),
        },
  noted: (record, event) => ({
    ...record,
    values: event.beside ? record.values : merged(record.values, event.values),
    hands: withHand(record, event.by),
  }),
  took: (record, event, mark) =>
    event.rival ? rival(record, event, { ...mark, word: 'took', way: event.way }) : took(record, event, mark),
  returned: (record, event, mark) => ({ ...took(record, event, mark), paper: event.photo }),
  closed: (record, _, mark) => ({ ...record, closed: mark }),
  'did-not-take': (record, event, mark) =>
    event.rival
      ? rival(record, event, { ...mark, word: 'did-not-take', way: event.way, ...why(event) })
      : {
          ...at(without(record, 'took', 'closed', 'rivals', 'beside'), 'did-not-take', mark),
          values: merged(record.values, event.values),
          way: event.way,
          tries: event.try,
          hands: withHand(record, event.by),
          ...why(event),
        },
  stuck: (record, event, mark) =>
    event.rival
      ? rival(record, event, { ...mark, word: 'did-not-take', ...why(event) })
      : { ...at(record, 'stuck', mark), why: event.why },
  'sent-out': (record, { firm, on }, mark) => ({ ...at(record, 'sent-out', mark), sentOut: { firm, on } }),
  waiting: (record, { part, promised }, mark) => ({ ...at(record, 'waiting', mark), waiting: { part, promised } }),
  'not-done': (record, event, mark) => {
    const { reason, note } = event;
    const notDone = { reason, ...(note ? { note } : {}) };
    return event.rival
      ? rival(record, event, { ...mark, word: 'not-done', notDone })
      : { ...at(without(record, 'took', 'closed', 'rivals', 'beside'), 'not-done', mark), notDone };
  },
  'answer-chosen': (record, event) => chosen(record, event),
  'sent-back': (record, { because }, mark) => ({
    ...at(without(begun(record), 'took', 'closed'), 'open', mark),
    sentBack: { ...mark, because },
  }),
};

/** What was said of the stage before does not outlive it; the firm and its paper stay with what came back. */
function at(record: StepRecord, stage: Stage, mark: Mark): StepRecord {
  const rest = without(record, 'notDone', 'waiting', 'why');
  return { ...(stage === 'took' ? rest : without(rest, 'sentOut', 'paper')), ...mark, stage };
}

/** From the start again: values of an earlier round prove nothing of this one; those noted just before it stay. */
function begun(record: StepRecord): StepRecord {
  const fresh = record.stage === 'open' || record.stage === 'waiting' || record.stage === 'running';
  const rest = without(record, 'took', 'closed', 'rivals', 'beside', 'why');
  return {
    ...rest,
    values: fresh && !record.took ? record.values : new Map(),
    tries: record.stage === 'stuck' ? 0 : record.tries,
  };
}

function took(record: StepRecord, event: EventOf<'took'> | EventOf<'returned'>, mark: Mark): StepRecord {
  const again =
    record.stage === 'took' ||
    record.stage === 'not-done' ||
    record.stage === 'did-not-take' ||
    record.stage === 'stuck';
  const before = again ? new Map() : record.values;
  return {
    ...at(without(record, 'closed', 'rivals', 'beside', 'sentBack', 'paper'), 'took', mark),
    way: event.way,
    took: mark,
    values: merged(before, event.values),
    hands: withHand(record, event.by),
  };
}

function why(event: { readonly why?: string | undefined }): { why?: string } {
  return event.why ? { why: event.why } : {};
}

function rival(
  record: StepRecord,
  event: { readonly by: string; readonly values?: Values | undefined },
  told: Omit<Rival, 'values'>,
): StepRecord {
  const one: Rival = { ...told, values: merged(new Map(), event.values) };
  return { ...record, rivals: [...(record.rivals ?? []), one], hands: withHand(record, event.by) };
}

/** The answer that stands, as if it had been the only one. */
function chosen(record: StepRecord, event: EventOf<'answer-chosen'>): StepRecord {
  const other = record.rivals?.find((one) => one.event === event.event);
  const rest = without(record, 'rivals', 'beside');
  if (!other) return rest;
  const { values, word, way, why: because, notDone, ...mark } = other;
  const begins = { ...rest, values, ...(way === undefined ? {} : { way }) };
  if (word === 'took') return { ...at(without(begins, 'closed', 'sentBack', 'paper'), 'took', mark), took: mark };
  const ended = at(without(begins, 'took', 'closed'), word, mark);
  if (word === 'not-done') return { ...ended, ...(notDone ? { notDone } : {}) };
  return { ...ended, tries: record.tries + 1, ...(because === undefined ? {} : { why: because }) };
}

function merged(values: StepRecord['values'], more: Values | undefined): StepRecord['values'] {
  return new Map([...values, ...Object.entries(more ?? {})]);
}

function withHand(record: StepRecord, by: string): ReadonlySet<string> {
  return new Set(record.hands).add(by);
}

function without<K extends keyof StepRecord>(record: StepRecord, ...keys: K[]): Omit<StepRecord, K> & StepRecord {
  const rest = { ...record };
  for (const key of keys) delete rest[key];
  return rest;
}
