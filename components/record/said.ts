import type { Command, CommandType } from '../../src/job/commands.ts';

type Without<C> = C extends Command ? Omit<C, 'id' | 'at' | 'by'> : never;
/** What somebody says happened, before it is told when and by whom. */
export type Saying<T extends CommandType = CommandType> = Without<Extract<Command, { type: T }>>;

/** Somebody says that something happened to the job on the sheet. */
export class Said extends Event {
  static readonly type = 'lb-said';
  constructor(readonly sayings: readonly Saying[]) {
    super(Said.type, { bubbles: true, composed: true });
  }
}
