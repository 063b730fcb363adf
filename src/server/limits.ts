import { No } from './refusal.ts';

/** So many calls within so many seconds. */
export interface Limit {
  readonly calls: number;
  readonly seconds: number;
}

export interface Limits {
  /** All calls from one address: a tablet's page with everything it asks for. */
  readonly address: Limit;
  /** PINs and first codes tried from one address; each costs 32 MiB and a tenth of a second. */
  readonly door: Limit;
  /** Changes by one person. */
  readonly person: Limit;
}

export const LIMITS: Limits = {
  address: { calls: 1200, seconds: 60 },
  door: { calls: 30, seconds: 60 },
  person: { calls: 300, seconds: 60 },
};

/** Addresses watched at once; past them the longest unseen is forgotten. */
const MOST = 10_000;

/** Counts by a bucket that fills evenly: a burst up to the whole, then one as each becomes due. */
export class Meter {
  private readonly buckets = new Map<string, { left: number; at: number }>();

  constructor(
    private readonly limit: Limit,
    private readonly now: () => Date,
  ) {}

  /** Throws No (429) once it is used up. */
  count(who: string): void {
    const now = this.now().getTime();
    const each = (this.limit.seconds * 1000) / this.limit.calls;
    const had = this.buckets.get(who) ?? { left: this.limit.calls, at: now };
    // A clock that was put back must lock nobody out.
    const left = Math.min(this.limit.calls, had.left + Math.max(0, now - had.at) / each);
    this.buckets.delete(who);
    this.buckets.set(who, { left: Math.max(0, left - 1), at: now });
    if (this.buckets.size > MOST) this.buckets.delete(this.buckets.keys().next().value as string);
    if (left >= 1) return;
    const wait = Math.max(1, Math.ceil(((1 - left) * each) / 1000));
    throw new No(429, `too much at once: try again in ${wait} s`, { 'retry-after': String(wait) });
  }
}
