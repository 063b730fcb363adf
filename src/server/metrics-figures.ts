import type { Doors } from './doors.ts';
import { collectDefaultMetrics, Counter, Gauge, Histogram, Registry } from 'prom-client';
import type { Measure } from '../store/log/measure.ts';
import { pinsTried } from '../store/shop/pin.ts';
import { VERSION } from './version.ts';

/** What the figures look at in a site. */
export type Watched = Pick<Doors, 'log' | 'hub' | 'flaws' | 'verified' | 'now'>;

/** Seconds; a call of ours takes milliseconds, a PIN a tenth of a second, a photo over the air some seconds. */
const BUCKETS = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];

/** A monitor asks again soon: a database that does not answer must not keep it waiting. */
const PATIENCE_MS = 5000;

/** What is counted and measured. */
export class Figures {
  private readonly all = new Registry<typeof Registry.OPENMETRICS_CONTENT_TYPE>();
  private readonly watched = new Map<string, Watched>();

  private readonly calls = this.counter('lastbolt_calls_total', 'calls answered', 'site', 'route', 'status');
  private readonly failures = this.counter('lastbolt_failures_total', 'failures, each told of in the log', 'site');
  private readonly appends = this.counter('lastbolt_appends_total', 'times that something went on record', 'site');
  private readonly taken = this.counter('lastbolt_events_taken_total', 'events that went on record', 'site');
  private readonly build = this.gauge('lastbolt_build', 'program and rulebook in force', 'version', 'rules', 'node');
  private readonly live = this.gauge('lastbolt_live_streams', 'tablets that listen', 'site');
  private readonly pins = this.gauge('lastbolt_pins', 'PINs being tried, and waiting for their turn', 'state');
  private readonly flaws = this.gauge('lastbolt_flaws', 'flaws when the record was last verified', 'site');
  private readonly verified = this.gauge('lastbolt_verified_timestamp_seconds', 'when it was last verified', 'site');
  private readonly up = this.gauge('lastbolt_database_up', '1 where the database answers', 'site');
  private readonly jobs = this.gauge('lastbolt_jobs', 'jobs on record', 'site', 'status');
  private readonly events = this.gauge('lastbolt_events', 'events on record', 'site');
  private readonly bytes = this.gauge('lastbolt_record_bytes', 'size of the record on the disk', 'site');
  private readonly written = this.gauge('lastbolt_written_timestamp_seconds', 'when it was last written to', 'site');
  private readonly seconds = new Histogram({
    name: 'lastbolt_call_seconds',
    help: 'time until a call was answered',
    labelNames: ['site', 'route'],
    buckets: BUCKETS,
    registers: [this.all],
  });

  constructor(rules: string) {
    this.all.setContentType(Registry.OPENMETRICS_CONTENT_TYPE);
    this.build.set({ version: VERSION, rules, node: process.version }, 1);
    collectDefaultMetrics({ register: this.all });
  }

  get type(): string {
    return this.all.contentType;
  }

  /** As of now. */
  async text(): Promise<string> {
    const { running, waiting } = pinsTried();
    this.pins.set({ state: 'running' }, running);
    this.pins.set({ state: 'waiting' }, waiting);
    // What can no longer be told is left out: a figure of before would pass for one of now.
    for (const gauge of [this.jobs, this.events, this.bytes, this.written]) gauge.reset();
    await Promise.all([...this.watched].map(([site, one]) => this.look(site, one)));
    return this.all.metrics();
  }

  close(): void {
    this.all.clear();
  }

  /** A line of the log: of a call it names the route as in the table, never what was asked for. */
  line(site: string, line: object): void {
    if ('failed' in line) this.failures.inc({ site });
    if (!('route' in line && 'status' in line && 'ms' in line)) return;
    const { route, status, ms } = line as { route: string; status: number; ms: number };
    this.calls.inc({ site, route, status: String(status) });
    this.seconds.observe({ site, route }, ms / 1000);
  }

  appended(site: string, events: number): void {
    this.appends.inc({ site });
    this.taken.inc({ site }, events);
  }

  watch(site: string, doors: Watched): void {
    // From the first look on they are there, with a nought, for whoever asks how fast they rise.
    for (const rising of [this.appends, this.taken, this.failures]) rising.inc({ site }, 0);
    this.watched.set(site, doors);
    void doors.verified.then(() => this.verified.set({ site }, doors.now().getTime() / 1000));
  }

  private async look(site: string, { hub, flaws, log }: Watched): Promise<void> {
    this.live.set({ site }, hub.size);
    this.flaws.set({ site }, flaws.length);
    const is = await inTime(log.measure());
    this.up.set({ site }, is ? 1 : 0);
    if (!is) return;
    for (const [status, count] of Object.entries(is.jobs)) this.jobs.set({ site, status }, count);
    this.events.set({ site }, is.events);
    this.bytes.set({ site }, is.bytes);
    if (is.written !== undefined) this.written.set({ site }, Date.parse(is.written) / 1000);
  }

  private counter(name: string, help: string, ...labelNames: string[]): Counter {
    return new Counter({ name, help, labelNames, registers: [this.all] });
  }

  private gauge(name: string, help: string, ...labelNames: string[]): Gauge {
    return new Gauge({ name, help, labelNames, registers: [this.all] });
  }
}

async function inTime(asked: Promise<Measure>): Promise<Measure | undefined> {
  const late = new Promise<undefined>((done) => setTimeout(done, PATIENCE_MS, undefined).unref());
  return Promise.race([asked.catch(() => undefined), late]);
}
