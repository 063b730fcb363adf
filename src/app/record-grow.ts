import type { Served } from '../job/exchange.ts';
import { pinned, type RecordState } from './record-state.ts';

/**
 * A record with what the server gave of it. 'apart' = the events do not join on to those that are here: they have to be
 * asked for again from where these end. `asked` = how many were here when it was asked. The same state where nothing is new.
 */
export function grown(
  state: RecordState | undefined,
  { ro, events, from, version, hash }: Served,
  asked: number,
  alone: boolean,
): RecordState | 'apart' {
  const had = state?.version ?? 0;
  if (state && state.hash === hash && had === version) return state;
  // Events are counted as they are kept: of one that is read as several, none can be cut off.
  if (from !== 0 && from !== had) return had >= version ? (state as RecordState) : 'apart';
  // An answer that was overtaken on its way takes nothing away; a server that has less than was asked of it does.
  if (from === 0 && state && had > version && asked <= version && isBehind(state, events)) return state;
  const all = from === 0 ? events : [...(state?.events ?? []), ...events];
  const waiting = { queue: state?.queue ?? [], tried: state?.tried ?? [] };
  return { ro, events: all, version, ...waiting, hash, rulebook: pinned(all), alone };
}

/** Whether these are the first of those that are here. */
function isBehind({ events }: RecordState, first: Served['events']): boolean {
  return first.length <= events.length && first.every(({ id }, at) => id === events[at]?.id);
}
