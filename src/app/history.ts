import { sentence } from '../../components/sheet/time.ts';
import type { JobFile } from '../resolve/facts.ts';
import { flips } from '../resolve/flips.ts';
import type { Planned } from './plan.ts';

/** What the last change brought, and how to take it back. */
export interface Note {
  readonly ro: string;
  readonly sentences: readonly string[];
  /** Words on the key that takes it back; '' = cannot be taken back. */
  readonly undo: string;
}

/** As many changes of one job can be taken back, one by one. */
const MOST = 20;

/** Changes made on this tablet since the page was opened, so that each can be taken back. */
export class History {
  note: Note | undefined;
  private readonly before = new Map<string, JobFile[]>();
  private readonly struck: JobFile[] = [];
  /** States of jobs whose plan is to be compared with the one before. */
  private awaited: JobFile | undefined;

  /** A job is about to be changed by hand. Lines put on are seen where they are put on; all else is told. */
  changing(from: JobFile, to: JobFile): void {
    const stack = this.before.get(from.ro) ?? [];
    this.before.set(from.ro, [...stack, from].slice(-MOST));
    const added = to.work.length > from.work.length;
    this.awaited = added ? undefined : to;
    this.note = undefined;
  }

  /** A new plan: if it is the one waited for, says what is different. */
  replanned(before: Planned, after: Planned): void {
    if (after.job !== this.awaited) return;
    this.awaited = undefined;
    if (!before.list || !after.list) return;
    const told = flips(before.list, after.list).map(({ text }) => sentence(text));
    const sentences = told.length > 0 ? told : ['Nothing on the sheet is different by it.'];
    this.note = { ro: after.job.ro, sentences, undo: this.canUndo(after.job.ro) ? 'Take it back' : '' };
  }

  striking(job: JobFile): void {
    this.struck.push(job);
    this.note = { ro: '', sentences: [`${job.ro} was struck off.`], undo: `Put ${job.ro} back` };
  }

  /** The job as it was before the last change; undefined: nothing to take back. */
  undo({ ro }: Note): JobFile | undefined {
    this.note = undefined;
    if (ro === '') return this.struck.pop();
    const back = this.before.get(ro)?.pop();
    this.awaited = back;
    return back;
  }

  private canUndo(ro: string): boolean {
    return (this.before.get(ro)?.length ?? 0) > 0;
  }
}
