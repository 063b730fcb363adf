import type { Rulebook } from '../rulebook/rulebook.ts';
import type { CommandOf, CommandType } from './commands.ts';
import type { EventOf } from './events.ts';
import type { Job } from './state.ts';

/** What the record cannot know of itself. */
export interface Shop {
  /** The rulebook of a version; undefined where it is not at hand. */
  readonly rulebook: (version: string) => Rulebook | undefined;
  /** A shop of one person: who did a step may check it, and the papers say so. */
  readonly alone?: boolean;
}

/** What a command adds to the event of its name; or why it is refused, in sentences. */
export type Added<T extends CommandType> = Omit<EventOf<T>, keyof CommandOf<T> | 'v' | 'flips'> &
  Partial<Pick<EventOf<T>, keyof EventOf<T> & keyof CommandOf<T>>>;
export type Turn<T extends CommandType> = (command: CommandOf<T>, job: Job, desk: Desk) => Added<T> | readonly string[];
export interface Desk {
  readonly rulebook: Rulebook;
  readonly shop: Shop;
}

/** For each of these commands, how it is decided. */
export type Turns<T extends CommandType> = { readonly [K in T]: Turn<K> };
