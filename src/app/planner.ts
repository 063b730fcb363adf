import type { Checklist } from '../checklist.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { RuleBundle } from './book.ts';
import type { Planned } from './plan.ts';
import type { Answer, Ask, Made } from './plan.worker.ts';
import type { RecordState } from './record-state.ts';

/** A sheet to be planned: written up only, or on record. */
interface Wanted {
  readonly job: JobFile;
  readonly record: RecordState | undefined;
}

interface Kept extends Made, Wanted {
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

/** What the rules make of a job on record in this state. */
export class Sighted extends Event {
  static readonly type = 'sighted';
  constructor(
    readonly state: RecordState,
    readonly made: Made,
  ) {
    super(Sighted.type);
  }
}

/** Built beside the page under this name (vite.config.ts), so that both share what they need. */
const script = './planner.js';

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
  private readonly shown = new WeakMap<object, Planned>();
  private readonly waiting = new Map<string, Wanted>();
  private underWay: (Wanted & { ticket: number }) | undefined;
  private readonly asked = new Map<number, (excluded: Checklist['excluded']) => void>();
  private ticket = 0;
  private ready = false;

  /** Versions of the rules that were asked for. */
  private readonly books = new Map<string, RuleBundle | undefined>();

  /** `fetchBook` gets the rules of another version, for a record that is pinned to it. */
  constructor(
    private readonly bundle: RuleBundle,
    private readonly fetchBook: (version: string) => Promise<RuleBundle>,
  ) {
    super();
    this.books.set(bundle.version, bundle);
    this.hire();
  }

  /**
   * What follows from a job, as far as it is known: while it is being planned, what followed from its last state.
   * `first` = it is in front of somebody's eyes, so it goes before the others.
   */
  planned(job: JobFile, first = false, record?: RecordState): Planned {
    const wanted: Wanted = { job, record };
    const kept = this.kept.get(job.ro);
    if (!isSame(kept, wanted)) this.want(wanted, first);
    const shown = this.shown.get(job);
    if (shown && shown.sight === kept?.sight && shown.pending === !isSame(kept, wanted)) return shown;
    const fresh = seen(wanted, kept);
    this.shown.set(job, fresh);
    return fresh;
  }

  /** The rules of a version, once they are here. */
  book(version: string): RuleBundle | undefined {
    this.needBook(version);
    return this.books.get(version);
  }

  /** Every follow-up that is not on the list, with the first fact that keeps it off. */
  whyNot(job: JobFile, rulebook?: string): Promise<Checklist['excluded']> {
    return new Promise((resolve) => {
      const ticket = ++this.ticket;
      this.asked.set(ticket, resolve);
      this.tell({ ask: 'why-not', ticket, job, rulebook });
    });
  }

  private want(wanted: Wanted, first: boolean): void {
    const { job, record } = wanted;
    if (record) this.needBook(record.rulebook);
    if (isSame(this.underWay, wanted)) return;
    const rest = [...this.waiting].filter(([ro]) => ro !== job.ro);
    if (isSame(this.waiting.get(job.ro), wanted) && !first) return;
    this.waiting.clear();
    const mine = [job.ro, wanted] as const;
    for (const [ro, one] of first ? [mine, ...rest] : [...rest, mine]) this.waiting.set(ro, one);
    this.next();
  }

  /** Jobs planned without the rules that they are pinned to are planned again once these came. */
  private needBook(version: string): void {
    if (version === '' || this.books.has(version)) return;
    this.books.set(version, undefined);
    this.fetchBook(version)
      .then((bundle) => {
        this.books.set(version, bundle);
        this.tell({ ask: 'rules', bundle });
        for (const [ro, { record }] of this.kept) if (record?.rulebook === version) this.kept.delete(ro);
        this.dispatchEvent(new Event('change'));
      })
      .catch(() => this.books.delete(version));
  }

  private next(): void {
    const [wanted] = this.waiting.values();
    if (this.underWay || !wanted || !this.ready) return;
    this.waiting.delete(wanted.job.ro);
    this.underWay = { ...wanted, ticket: ++this.ticket };
    this.tell({ ask: 'plan', ...this.underWay });
  }

  private take(answer: Answer): void {
    if (answer.answer === 'ready') this.ready = true;
    else if (answer.answer === 'why-not') {
      this.asked.get(answer.ticket)?.(answer.excluded);
      this.asked.delete(answer.ticket);
    } else if (answer.ticket === this.underWay?.ticket) this.keep(this.underWay, answer.made);
    this.next();
  }

  /** An answer that a later state of its job has overtaken is not shown. */
  private keep({ job, record }: Wanted, made: Made): void {
    this.underWay = undefined;
    if (this.waiting.has(job.ro)) return;
    const had = this.kept.get(job.ro);
    const numbers = new Map(made.list?.steps.map(({ id }, i) => [id, i + 1]));
    const kept: Kept = { ...made, job, record, numbers };
    this.kept.set(job.ro, kept);
    if (had) this.dispatchEvent(new Replanned(seen(had, had), seen(kept, kept)));
    if (record) this.dispatchEvent(new Sighted(record, made));
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
    for (const [version, bundle] of this.books)
      if (bundle && version !== this.bundle.version) this.tell({ ask: 'rules', bundle });
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
    if (this.underWay && !this.waiting.has(this.underWay.job.ro)) this.waiting.set(this.underWay.job.ro, this.underWay);
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

function isSame(a: Wanted | undefined, b: Wanted): boolean {
  return a !== undefined && a.record === b.record && (b.record !== undefined || a.job === b.job);
}

function seen(wanted: Wanted, kept: Kept | undefined): Planned {
  const { faults = [], facts, list, sight, refused = [], numbers = new Map<string, number>() } = kept ?? {};
  const { job, record } = wanted;
  const pending = !isSame(kept, wanted);
  return { job, record, faults, facts, list, sight, refused, numbers, pending, planned: kept?.job };
}
