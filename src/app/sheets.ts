import type { Saying } from '../job/commands.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Planned } from './plan.ts';
import { Records } from './records.ts';
import type { Started } from './start.ts';

/** All sheets on this tablet, those that are only written up and those on record, in one way. */
export class Sheets {
  /** Numbers that were asked for and that nobody has. */
  private readonly missing = new Set<string>();
  private readonly asked = new Set<string>();

  constructor(private readonly started: Started) {}

  /** Cars that are in, each with what follows; the last one touched first, those on record before. */
  list(): Planned[] {
    const { jobs, records, planner } = this.started;
    const open = records.open().map(({ sheet, state }) => planner.planned(sheet.file, false, state));
    const drafts = jobs.list().filter(({ ro }) => !records.get(ro));
    return [...open, ...drafts.map((job) => planner.planned(job))];
  }

  /** Every number that is taken on this tablet. */
  numbers(): string[] {
    const { jobs, records } = this.started;
    return [...new Set([...records.all().map(({ state }) => state.ro), ...jobs.list().map(({ ro }) => ro)])];
  }

  /** The sheet in front of somebody's eyes. 'asked' = it is not on this tablet, and the server is being asked. */
  sheet(ro: string): Planned | 'asked' | undefined {
    const { jobs, records, planner } = this.started;
    const held = records.get(ro);
    if (held) return planner.planned(held.sheet.file, true, held.state);
    const job = jobs.get(ro);
    if (job) return planner.planned(job, true);
    if (this.missing.has(ro)) return undefined;
    if (this.started.asked()) this.askFor(ro);
    return 'asked';
  }

  /** Somebody wrote on a sheet; the job as it stands now. */
  change(job: JobFile): JobFile {
    const { jobs, records } = this.started;
    if (records.get(job.ro)) return records.rewrite(job.ro, job) ?? job;
    jobs.put(job);
    return job;
  }

  /** Somebody says that something happened; with it a written-up job is opened. What the server refused, in sentences. */
  async say(ro: string, sayings: readonly Saying[]): Promise<readonly string[]> {
    const { jobs, records } = this.started;
    const draft = records.get(ro) ? undefined : jobs.get(ro);
    const now = Records.mustReach(sayings);
    if (draft) records.openJob(draft, now ? [] : sayings);
    else if (!now) records.say(ro, sayings);
    return now ? ((await records.sayNow(ro, sayings)) ?? []) : [];
  }

  private askFor(ro: string): void {
    if (this.asked.has(ro)) return;
    this.asked.add(ro);
    const { records } = this.started;
    records
      .fetch(ro)
      .catch(() => undefined)
      .then((held) => {
        this.asked.delete(ro);
        if (!held) this.missing.add(ro);
        records.dispatchEvent(new Event('change'));
      })
      .catch(() => undefined);
  }
}
