import { setImmediate as breath } from 'node:timers/promises';
import { fold } from '../job/evolve.ts';
import { type Learned, Learning, type Lesson, lessonOf } from '../job/learning.ts';
import { Tampered } from '../store/log/contract.ts';
import type { Kept } from '../store/open.ts';

export interface LearnedSoFar extends Learned {
  /** Jobs on record, and how many of them have been read. */
  readonly jobs: number;
  readonly read: number;
}

/** As long as a call waits for jobs to be read; then it is answered with what has been read. */
const PATIENCE_MS = 2_000;

/**
 * What the jobs on record teach. Each job is read once for each of its versions and only its lesson is kept, so that
 * asking again costs what was written since.
 */
export class Lessons {
  private readonly lessons = new Map<string, { readonly version: number; readonly lesson: Lesson }>();
  private reading: Promise<void> | undefined;
  private jobs = 0;

  constructor(
    private readonly kept: Pick<Kept, 'log' | 'rulebooks'>,
    private readonly patience = PATIENCE_MS,
  ) {}

  async learned(): Promise<LearnedSoFar> {
    this.reading ??= this.catchUp().finally(() => (this.reading = undefined));
    const given = new AbortController();
    const up = new Promise<void>((done) => {
      const timer = setTimeout(done, this.patience);
      given.signal.addEventListener('abort', () => clearTimeout(timer));
    });
    await Promise.race([this.reading, up]).finally(() => given.abort());
    return this.summed();
  }

  private async summed(): Promise<LearnedSoFar> {
    const { rulebooks } = this.kept;
    const today = await rulebooks.rulebook(rulebooks.inForce.version);
    const learning = new Learning();
    // By number, so that the same record gives the same page whatever was read first.
    for (const [, { lesson }] of [...this.lessons].sort(([a], [b]) => (a < b ? -1 : 1))) learning.add(lesson);
    return { ...learning.learned((id) => today?.followUps.get(id)), jobs: this.jobs, read: this.lessons.size };
  }

  /** Others are answered in between: a job is read, and then it is somebody else's turn. */
  private async catchUp(): Promise<void> {
    const heads = await this.kept.log.heads();
    this.jobs = heads.length;
    const there = new Set(heads.map(({ job }) => job));
    for (const job of this.lessons.keys()) if (!there.has(job)) this.lessons.delete(job);
    for (const { job, version } of heads) {
      if (this.lessons.get(job)?.version === version) continue;
      const lesson = await this.lessonOf(job);
      if (lesson) this.lessons.set(job, lesson);
      else this.lessons.delete(job);
      await breath();
    }
  }

  /** Undefined where it has been deleted in between. */
  private async lessonOf(ro: string): Promise<{ version: number; lesson: Lesson } | undefined> {
    try {
      const record = await this.kept.log.read(ro);
      if (!record) return undefined;
      const job = fold(record.events);
      const book = await this.kept.rulebooks.rulebook(job.rulebook);
      return { version: record.version, lesson: lessonOf(job, record.events, book) };
    } catch (error) {
      if (!(error instanceof Tampered)) throw error;
      const because = 'its record is not as it was written: `lastbolt verify` says where';
      return { version: -1, lesson: { ro, finished: false, because, taught: [], notes: [] } };
    }
  }
}
