import type { Command } from '../job/commands.ts';
import type { JobEvent } from '../job/events.ts';

/** A job on record as this tablet knows it; a new one for each change, so that identity tells them apart. */
export interface RecordState {
  readonly ro: string;
  /** As the server has them. */
  readonly events: readonly JobEvent[];
  /** How many events the server keeps; an old one may be read as several. */
  readonly version: number;
  /** Said here and not yet taken by the server. */
  readonly queue: readonly Command[];
  /** Hash of the chain's last link; '' = the server has nothing of it. */
  readonly hash: string;
  /** Version of the rulebook that it is pinned to. */
  readonly rulebook: string;
  /** A shop of one person. */
  readonly alone: boolean;
}

/** Why the record does not take a command, in sentences. */
export interface Refusal {
  readonly id: string;
  readonly says: readonly string[];
}
