import type { Did } from '../rulebook/schema.ts';

export interface WorkLine {
  readonly part: string;
  readonly did: Did;
  readonly at?: readonly string[];
  readonly by: string;
}

/** To a question other than a trait; null = can't tell. */
export type Answer = string | number | null;
