import type { JobFile } from '../resolve/facts.ts';
import { fetchJobs, Refused, sendJob, type ServedJob, strikeJob } from './api.ts';
import type { Held, Keep } from './keep.ts';

/** Two versions of one job, of which a person must choose. */
export interface Clash {
  readonly ro: string;
  readonly theirs: ServedJob;
}

const RETRY_MS = 5_000;

/**
 * All jobs on this tablet. A change is kept here at once and sent on when the server can be reached.
 * Fires `change` whenever anything that can be shown has changed.
 */
export class Jobs extends EventTarget {
  private readonly held = new Map<string, Held>();
  private sending: Promise<void> | undefined;
  private retry: ReturnType<typeof setTimeout> | undefined;
  private tellsServer = true;
  /** The last change could not be kept on this tablet: it is full, say. */
  keepFails = false;
  readonly clashes = new Map<string, Clash>();
  /** The server's refusal of a job, by RO number. */
  readonly refusals = new Map<string, string>();

  private constructor(
    private readonly keep: Keep,
    private readonly rules: () => string,
    private readonly token: () => string,
    private readonly now: () => number,
  ) {
    super();
  }

  static async open(keep: Keep, rules: () => string, token: () => string, now: () => number): Promise<Jobs> {
    const jobs = new Jobs(keep, rules, token, now);
    for (const held of await keep.jobs()) jobs.held.set(held.job.ro, held);
    return jobs;
  }

  /** The last one changed first. */
  list(): JobFile[] {
    return [...this.held.values()]
      .filter(({ gone }) => !gone)
      .sort((a, b) => b.changed - a.changed || (a.job.ro < b.job.ro ? -1 : 1))
      .map(({ job }) => job);
  }

  get(ro: string): JobFile | undefined {
    const held = this.held.get(ro);
    return held?.gone ? undefined : held?.job;
  }

  /** Whether everything has reached the server. */
  get allSent(): boolean {
    return this.tellsServer && [...this.held.values()].every(({ waiting }) => !waiting);
  }

  put(job: JobFile): void {
    const revision = this.held.get(job.ro)?.revision ?? 0;
    this.hold({ job, revision, waiting: true, changed: this.now() });
    void this.send();
  }

  /** Takes a sheet away, here at once and on the server when it can be reached. */
  strike(ro: string): void {
    const held = this.held.get(ro);
    if (!held) return;
    if (held.revision === 0 && !this.sending) this.drop(ro);
    else this.hold({ ...held, waiting: true, gone: true, changed: this.now() });
    void this.send();
  }

  /** The sheet was opened: the record has it now, and the server strikes its own. */
  opened(ro: string): void {
    this.drop(ro);
  }

  /** Gives a sheet another number. Throws if that one is taken. */
  renumber(ro: string, to: string): void {
    const held = this.held.get(ro);
    if (!held || ro === to) return;
    if (this.get(to)) throw new Error(`${to} has a sheet already`);
    this.put({ ...held.job, ro: to });
    this.strike(ro);
  }

  keepFailed(): void {
    this.keepFails = true;
    this.changed();
  }

  /** Fetches what other tablets wrote, then sends what waits here. */
  async sync(): Promise<void> {
    try {
      // What is on its way there would come back as another tablet's.
      await this.sending;
      const before = new Map(this.held);
      const there = await fetchJobs();
      // What changed here meanwhile may be newer than the answer: the next round meets it.
      const still = (ro: string) => this.held.get(ro) === before.get(ro);
      for (const served of there) if (still(served.job.ro)) this.meet(served);
      const known = new Set(there.map(({ job }) => job.ro));
      for (const [ro, held] of before) if (still(ro) && !known.has(ro)) this.missed(held);
      this.tellsServer = true;
    } catch (error) {
      if (!(error instanceof TypeError) && !(error instanceof Refused)) throw error;
      this.tellsServer = false;
      this.later();
    }
    this.changed();
    await this.send();
  }

  /** Settles a clash: this tablet's version goes over theirs, or theirs is taken. */
  settle(ro: string, whose: 'ours' | 'theirs'): void {
    const clash = this.clashes.get(ro);
    const held = this.held.get(ro);
    if (!clash || !held) return;
    this.clashes.delete(ro);
    if (whose === 'theirs') this.hold(fromServer(clash.theirs));
    else this.hold({ ...held, revision: clash.theirs.revision });
    void this.send();
  }

  /** What the server had and has no more was struck off on another tablet, unless something still waits here. */
  private missed({ job, waiting, revision }: Held): void {
    if (!waiting && revision > 0) this.drop(job.ro);
  }

  private meet(served: ServedJob): void {
    const held = this.held.get(served.job.ro);
    if (held?.waiting && held.revision !== served.revision)
      this.clashes.set(served.job.ro, { ro: served.job.ro, theirs: served });
    else if (!held?.waiting && held?.revision !== served.revision) this.hold(fromServer(served));
  }

  private hold(held: Held): void {
    this.held.set(held.job.ro, held);
    this.keep.putJob(held).catch(() => this.keepFailed());
    this.changed();
  }

  private drop(ro: string): void {
    this.held.delete(ro);
    this.keep.dropJob(ro).catch(() => this.keepFailed());
    this.changed();
  }

  /** One sender at a time, so that each change stands on the revision before it. */
  private send(): Promise<void> {
    this.sending ??= this.sendWaiting().finally(() => {
      this.sending = undefined;
    });
    return this.sending;
  }

  private async sendWaiting(): Promise<void> {
    for (let held = this.nextWaiting(); held; held = this.nextWaiting()) {
      const { job, revision } = held;
      try {
        const reached = held.gone
          ? await this.sendStrike(held)
          : (await sendJob(job, revision, this.rules(), this.token())).revision;
        this.tellsServer = true;
        this.refusals.delete(job.ro);
        const now = this.held.get(job.ro) ?? held;
        // Changed again while it was under way: the newer one still waits, on the new revision.
        if (now === held && held.gone) this.drop(job.ro);
        else this.hold({ ...now, revision: reached, waiting: now !== held });
      } catch (error) {
        if (!this.refused(error, job.ro)) return;
      }
    }
  }

  /** Revision 0, as of a job that the server does not have. */
  private async sendStrike({ job, revision }: Held): Promise<0> {
    if (revision > 0) await strikeJob(job.ro, revision, this.token());
    return 0;
  }

  private nextWaiting(): Held | undefined {
    return [...this.held.values()].find(
      ({ job, waiting }) => waiting && !this.clashes.has(job.ro) && !this.refusals.has(job.ro),
    );
  }

  /** Whether the sender can go on with other jobs. */
  private refused(error: unknown, ro: string): boolean {
    if (error instanceof Refused && error.current) this.clashes.set(ro, { ro, theirs: error.current });
    else if (error instanceof Refused && error.status < 500 && error.status !== 401)
      this.refusals.set(ro, error.message);
    else {
      this.tellsServer = false;
      this.later();
      this.changed();
      return false;
    }
    this.changed();
    return true;
  }

  private later(): void {
    clearTimeout(this.retry);
    this.retry = setTimeout(() => void this.sync(), RETRY_MS);
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

function fromServer({ job, revision, updated }: ServedJob): Held {
  return { job, revision, waiting: false, changed: Date.parse(updated) };
}
