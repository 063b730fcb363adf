import type { ReadingValue } from '../../src/job/values.ts';

/** A reading was answered. */
export class Written extends Event {
  static readonly type = 'lb-written';
  constructor(
    /** As in `Asked`. */
    readonly key: string,
    readonly value: ReadingValue,
  ) {
    super(Written.type, { bubbles: true, composed: true });
  }
}
