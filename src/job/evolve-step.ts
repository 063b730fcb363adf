import type { EventOf, JobEvent } from './events.ts';
import type { Job, Mark, Stage, StepRecord } from './state.ts';
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
  const record = job.steps.get(event.step) ?? { ...mark, stage: 'open', values: new Map(), tries: 0, hands: new Set() };
  const after = stepAfter(record, event, mark);
  const steps = new Map(job.steps).set(event.step, after);
  const lastStep =
    event.type === 'took' || event.type === 'closed' || event.type === 'returned'
      ? { ...mark, step: event.step }
      : job.lastStep;
  return { ...job, steps, touched: mark.seq, ...(lastStep ? { lastStep } : {}) };
}

function stepAfter(record: StepRecord, event: StepEvent, mark: Mark): StepRecord {
  switch (event.type) {
    case 'started':
      return {
        ...at(begun(record), 'running', mark),
        way: event.way,
        startedAt: mark,
        hands: withHand(record, event.by),
      };
    case 'noted':
      return { ...record, values: merged(record.values, event.values), hands: withHand(record, event.by) };
    case 'took':
      return event.rival ? rival(record, event, mark) : took(record, event, mark);
    case 'returned':
      return { ...took(record, event, mark), paper: event.photo };
    case 'closed':
      return { ...record, closed: mark };
    case 'did-not-take':
      return {
        ...at(without(record, 'took', 'closed', 'rival'), 'did-not-take', mark),
        values: merged(record.values, event.values),
        way: event.way,
        tries: event.try,
        hands: withHand(record, event.by),
        ...(event.why ? { why: event.why } : {}),
      };
    case 'stuck':
      return { ...at(record, 'stuck', mark), why: event.why };
    case 'sent-out':
      return { ...at(record, 'sent-out', mark), sentOut: { firm: event.firm, on: event.on } };
    case 'waiting':
      return { ...at(record, 'waiting', mark), waiting: { part: event.part, promised: event.promised } };
    case 'not-done':
      return {
        ...at(without(record, 'took', 'closed', 'rival'), 'not-done', mark),
        notDone: { reason: event.reason, ...(event.note ? { note: event.note } : {}) },
      };
    case 'answer-chosen':
      return chosen(record, event);
    case 'sent-back':
      return {
        ...at(without(begun(record), 'took', 'closed'), 'open', mark),
        sentBack: { ...mark, because: event.because },
      };
  }
}

function at(record: StepRecord, stage: Stage, mark: Mark): StepRecord {
  return { ...record, ...mark, stage };
}

/** From the start again: values of an earlier round prove nothing of this one; those noted just before it stay. */
function begun(record: StepRecord): StepRecord {
  const fresh = record.stage === 'open' || record.stage === 'waiting' || record.stage === 'running';
  const rest = without(record, 'took', 'closed', 'rival', 'why');
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
    ...at(without(record, 'closed', 'rival', 'sentBack', 'notDone'), 'took', mark),
    way: event.way,
    took: mark,
    values: merged(before, event.values),
    hands: withHand(record, event.by),
  };
}

function rival(record: StepRecord, event: EventOf<'took'>, mark: Mark): StepRecord {
  return { ...record, rival: { ...mark, values: merged(new Map(), event.values) }, hands: withHand(record, event.by) };
}

function chosen(record: StepRecord, event: EventOf<'answer-chosen'>): StepRecord {
  const rest = without(record, 'rival');
  const other = record.rival;
  if (!other || other.event !== event.event) return rest;
  const { values, ...mark } = other;
  return { ...at(rest, 'took', mark), took: mark, values };
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
