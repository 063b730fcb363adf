import type { JobEvent } from '../../job/events.ts';
import type { Kept } from '../../job/upcast.ts';
import type { Standing } from './standing.ts';

/**
 * The record of all jobs: a log of events each, to which is only ever added. Every implementation holds to
 * tests/store.contract.ts. A call that returns has reached the disk; one that throws has left nothing behind.
 */
export interface EventLog {
  /**
   * Adds events behind the `expected`-th of a job, 0 for a job that must be new. Events that are there already are
   * passed over, so sending twice is harmless. Throws Overtaken, Refused, Tampered or Unavailable.
   */
  append(job: string, expected: number, events: readonly Kept[]): Promise<Head>;
  /** A job with all its events, its chain verified; undefined if there is none. Throws Tampered. */
  read(job: string): Promise<JobRecord | undefined>;
  /** Where each job stands, the one written to last first. */
  heads(): Promise<Head[]>;
  head(job: string): Promise<Head | undefined>;
  /** The same a page at a time; see `Page`. */
  page(which: Page): Promise<Head[]>;
  /** Keeps a picture under its SHA-256, which comes back. Keeping it twice is harmless. */
  putPhoto(bytes: Uint8Array, type: PhotoType): Promise<string>;
  photo(hash: string): Promise<Photo | undefined>;
}

export interface Head extends Standing {
  readonly job: string;
  /** How many events there are. */
  readonly version: number;
  /** Hash of the last link, 64 hexadecimal digits. */
  readonly hash: string;
  /** When this machine took the first and the last one; ISO 8601 in UTC. */
  readonly opened: string;
  readonly written: string;
}

/** Which heads: `after` is the last one of the page before. */
export interface Page {
  readonly ended?: boolean;
  readonly after?: Pick<Head, 'job' | 'written'>;
  readonly limit: number;
}

/** One event as it is kept. */
export interface Entry {
  /** From 1. */
  readonly number: number;
  readonly kept: string;
  readonly hash: string;
  /** As it was sent, whatever version that was; personal fields that were removed are marked or left out. */
  readonly event: Kept;
}

export interface JobRecord extends Head {
  readonly entries: readonly Entry[];
  /** The same in today's shapes: what the job is folded from. */
  readonly events: readonly JobEvent[];
}

export const PHOTO_TYPES = ['image/jpeg', 'image/png', 'image/webp'] as const;
export type PhotoType = (typeof PHOTO_TYPES)[number];

export interface Photo {
  readonly hash: string;
  readonly type: PhotoType;
  readonly kept: string;
  /** Undefined once it was removed. */
  readonly bytes?: Uint8Array;
}

/** What is wrong with a record, and where. */
export interface Flaw {
  readonly job: string;
  /** The event it was found at; 0 where it is about the job as a whole. */
  readonly number: number;
  readonly kind: 'changed' | 'link' | 'missing' | 'head' | 'personal' | 'photo' | 'unreadable';
  readonly says: string;
}

/** An error in words of our own, for whoever called; anything else that is thrown comes from the database. */
export class Spoken extends Error {}

/** Somebody else wrote in between; `version` is how many events there are now. */
export class Overtaken extends Spoken {
  constructor(
    readonly job: string,
    readonly expected: number,
    readonly version: number,
  ) {
    super(`job ${job} has ${count(version)}, not ${expected}: read it again and decide anew`);
  }
}

/** The record does not take this, and says why. */
export class Refused extends Spoken {}

/** The record of a job is not what was written. */
export class Tampered extends Spoken {
  constructor(readonly flaws: readonly Flaw[]) {
    super(flaws.map((flaw) => flaw.says).join('\n'));
  }
}

/** The disk is full, the database is gone, damaged or busy. Nothing of the call was kept. */
export class Unavailable extends Spoken {}

export function count(n: number, word = 'event'): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}
