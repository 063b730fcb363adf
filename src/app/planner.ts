import type { Checklist } from '../checklist.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { RuleBundle } from './book.ts';
import type { Planned } from './plan.ts';
import type { Answer, Ask, Made } from './plan.worker.ts';
import script from './plan.worker.ts?worker&url';

interface Kept extends Made {
  readonly job: JobFile;
  readonly numbers: ReadonlyMap<string, number>;
}

/** A new plan of a job that had one before. */
export class Replanned extends Event {
  static readonly type = 'replanned';
  constructor(
    readonly before: Planned,
    readonly after: Planned,
  ) {
    super(Replanned.type);
  }
}

/** How long a worker may take to read the rules before the page takes over: a slow tablet needs about a second. */
const PATIENCE_MS = 20_000;

/**
 * Plans jobs beside the page, so that it never stands still under the hand. One job is under way at a time; of what
 * waits, only the latest state of each job is planned. Fires `change` with each plan, `replanned` where it had one before.
 */
export class Planner extends EventTarget {
  /** Why planning goes on in the page itself, as a sentence; empty while a worker does it. */
  inPage = '';
  private end: Pick<Worker, 'postMessage'> | undefined;
  private readonly kept = new Map<string, Kept>();
  private readonly shown = new WeakMap<JobFile, Planned>();
  private readonly waiting = new Map<string, JobFile>();
  private underWay: { ticket: number; job: JobFile } | undefined;
  private readonly asked = new Map<number, (excluded: Checklist['excluded']) => void>();
  private ticket = 0;
  private ready = false;

  constructor(private readonly bundle: RuleBundle) {
    super();
    this.hire();
  }

  /**
   * What follows from a job, as far as it is known: while it is being planned, what followed from its last state.
   * `first` = it is in front of somebody's eyes, so it goes before the others.
   */
  planned(job: JobFile, first = false): Planned {
    const kept = this.kept.get(job.ro);
    if (kept?.job !== job) this.want(job, first);
    const shown = this.shown.get(job);
    if (shown && shown.planned === kept?.job) return shown;
    const fresh = seen(job, kept);
    this.shown.set(job, fresh);
    return fresh;
  }

  /** Every follow-up that is not on the list, with the first fact that keeps it off. */
  whyNot(job: JobFile): Promise<Checklist['excluded']> {
    return new Promise((resolve) => {
      const ticket = ++this.ticket;
      this.asked.set(ticket, resolve);
      this.tell({ ask: 'why-not', ticket, job });
    });
  }

  private want(job: JobFile, first: boolean): void {
    if (this.underWay?.job === job) return;
    const rest = [...this.waiting].filter(([ro]) => ro !== job.ro);
    const before = this.waiting.get(job.ro) === job && !first;
    if (before) return;
    this.waiting.clear();
    for (const [ro, one] of first ? [[job.ro, job] as const, ...rest] : [...rest, [job.ro, job] as const])
      this.waiting.set(ro, one);
    this.next();
  }

  private next(): void {
    const [job] = this.waiting.values();
    if (this.underWay || !job || !this.ready) return;
    this.waiting.delete(job.ro);
    this.underWay = { ticket: ++this.ticket, job };
    this.tell({ ask: 'plan', ...this.underWay });
  }

  private take(answer: Answer): void {
    if (answer.answer === 'ready') this.ready = true;
    else if (answer.answer === 'why-not') {
      this.asked.get(answer.ticket)?.(answer.excluded);
      this.asked.delete(answer.ticket);
    } else if (answer.ticket === this.underWay?.ticket) this.keep(this.underWay.job, answer.made);
    this.next();
  }

  /** An answer that a later state of its job has overtaken is not shown. */
  private keep(job: JobFile, made: Made): void {
    this.underWay = undefined;
    if (this.waiting.has(job.ro)) return;
    const had = this.kept.get(job.ro);
    const kept: Kept = { ...made, job, numbers: new Map(made.list?.steps.map(({ id }, i) => [id, i + 1])) };
    this.kept.set(job.ro, kept);
    if (had) this.dispatchEvent(new Replanned(seen(had.job, had), seen(job, kept)));
    this.dispatchEvent(new Event('change'));
  }

  private tell(ask: Ask): void {
    this.end?.postMessage(ask);
  }

  private hire(): void {
    try {
      const worker = new Worker(script, { type: 'module', name: 'planner' });
      const late = setTimeout(() => this.takeOver(worker, 'the planner beside it did not answer'), PATIENCE_MS);
      worker.addEventListener('message', ({ data }: MessageEvent<Answer>) => {
        clearTimeout(late);
        this.take(data);
      });
      worker.addEventListener('error', ({ message }) => {
        clearTimeout(late);
        this.takeOver(worker, message || 'the script of the planner beside it did not load');
      });
      this.begin(worker);
    } catch (error) {
      this.takeOver(undefined, error instanceof Error ? error.message : String(error));
    }
  }

  private begin(end: Pick<Worker, 'postMessage'>): void {
    this.end = end;
    this.tell({ ask: 'rules', bundle: this.bundle });
  }

  /** The same script, run by the page: slower under the hand, never another answer. */
  private takeOver(worker: Worker | undefined, why: string): void {
    if (this.inPage) return;
    worker?.terminate();
    this.ready = false;
    this.inPage = `This browser cannot plan beside the page (${why}), so the page plans itself and may stand still for a moment after a tap.`;
    this.dispatchEvent(new Event('change'));
    void this.planHere();
  }

  private async planHere(): Promise<void> {
    await loadScript(script);
    const { port1, port2 } = new MessageChannel();
    (globalThis as unknown as { lastBoltPlanAt: (end: MessagePort) => void }).lastBoltPlanAt(port2);
    port1.onmessage = ({ data }: MessageEvent<Answer>) => this.take(data);
    if (this.underWay && !this.waiting.has(this.underWay.job.ro))
      this.waiting.set(this.underWay.job.ro, this.underWay.job);
    this.underWay = undefined;
    this.begin(port1);
  }
}

/** A module script of ours, by address: the worker's own file, so that the page carries it only once. */
function loadScript(address: string): Promise<void> {
  return new Promise((done, failed) => {
    const element = document.createElement('script');
    element.type = 'module';
    element.src = address;
    element.onload = () => done();
    element.onerror = () => failed(new Error(`could not load ${address}`));
    document.head.append(element);
  });
}

function seen(job: JobFile, kept: Kept | undefined): Planned {
  const { faults = [], facts, list, numbers = new Map<string, number>() } = kept ?? {};
  return { job, faults, facts, list, numbers, pending: kept?.job !== job, planned: kept?.job };
}
