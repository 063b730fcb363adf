import type { Command } from '../job/commands.ts';
import type { JobEvent } from '../job/events.ts';
import type { Outcome } from '../job/exchange.ts';

/** A job on record as this tablet knows it; a new one for each change, so that identity tells them apart. */
export interface RecordState {
  readonly ro: string;
  /** As the server has them. */
  readonly events: readonly JobEvent[];
  /** How many events the server keeps; an old one may be read as several. */
  readonly version: number;
  /** Said here and not yet taken by the server. */
  readonly queue: readonly Command[];
  /** Ids of those that have left for the server: it may have them, so that only its word tells what became of them. */
  readonly tried?: readonly string[];
  /** Hash of the chain's last link; '' = the server has nothing of it. */
  readonly hash: string;
  /** Version of the rulebook that it is pinned to. */
  readonly rulebook: string;
  /** A shop of one person. */
  readonly alone: boolean;
}

/** A job that the server has nothing of yet. */
export function newState(ro: string, rulebook: string, queue: readonly Command[], alone: boolean): RecordState {
  return { ro, events: [], version: 0, queue, hash: '', rulebook, alone };
}

export function isEnded({ events }: RecordState): boolean {
  const turn = events.findLast(({ type }) => type === 'released' || type === 'left-unfinished' || type === 'reopened');
  return turn !== undefined && turn.type !== 'reopened';
}

/** Version of the rulebook that these events are pinned to. */
export function pinned(events: readonly JobEvent[]): string {
  return events.reduce((version, event) => {
    if (event.type === 'opened' || event.type === 'came-back') return event.rulebook;
    return event.type === 'rulebook-changed' ? event.to : version;
  }, '');
}

/** When something was last said, by the clock of whoever said it. */
export function lastSaid({ events, queue }: RecordState): string {
  return queue.at(-1)?.at ?? events.at(-1)?.at ?? '';
}

/** Why they were refused, each sentence once. */
export function refusedOf(outcomes: readonly Outcome[]): string[] {
  return [...new Set(outcomes.flatMap((outcome) => (outcome.is === 'refused' ? outcome.refused : [])))];
}
