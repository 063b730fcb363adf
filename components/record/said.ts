import type { Saying } from '../../src/job/commands.ts';

export type { Saying } from '../../src/job/commands.ts';

/** Somebody says that something happened to the job on the sheet. */
export class Said extends Event {
  static readonly type = 'lb-said';
  constructor(readonly sayings: readonly Saying[]) {
    super(Said.type, { bubbles: true, composed: true });
  }
}
