import { setTimeout as pause } from 'node:timers/promises';
import type pg from 'pg';

/** Whoever hears what servers on one database say to each other. */
export interface Ear {
  heard(text: string): void;
  /** The line was broken and is there again: what was said in between was not heard. */
  gap(): void;
}

/** PostgreSQL: "In the default configuration it must be shorter than 8000 bytes" (manual, NOTIFY). */
export const MOST_SAID = 7_900;

const CHANNEL = 'lastbolt';
const FIRST_WAIT_MS = 100;
const LONGEST_WAIT_MS = 10_000;
/** What was said just before the end still goes through. */
const LAST_WORDS_MS = 1_000;

/** One connection for LISTEN and NOTIFY; made when it is first wanted, and again whenever it breaks. */
export class Line {
  private readonly ears = new Set<Ear>();
  private client: pg.Client | undefined;
  private closed = false;
  private readonly closing = new AbortController();
  private keeping: Promise<void> | undefined;
  private began = false;

  constructor(private readonly make: () => pg.Client) {}

  listen(ear: Ear): () => void {
    this.ears.add(ear);
    this.keeping ??= this.keep();
    return () => this.ears.delete(ear);
  }

  async say(text: string): Promise<boolean> {
    if (Buffer.byteLength(text) > MOST_SAID)
      throw new Error(`${Buffer.byteLength(text)} bytes are too many to be said`);
    this.keeping ??= this.keep();
    const { client } = this;
    if (!client) return false;
    try {
      await client.query('select pg_notify($1, $2)', [CHANNEL, text]);
      return true;
    } catch {
      // A line on which nothing goes through is no line; its end makes the next one.
      this.drop(client);
      return false;
    }
  }

  async close(): Promise<void> {
    this.closed = true;
    this.closing.abort();
    await Promise.race([this.client?.end().catch(() => undefined), pause(LAST_WORDS_MS, undefined, { ref: false })]);
    if (this.client) this.drop(this.client);
    await this.keeping;
  }

  private async keep(): Promise<void> {
    for (let wait = FIRST_WAIT_MS; !this.closed; wait = Math.min(LONGEST_WAIT_MS, wait * 2)) {
      const client = this.make();
      const over = new Promise<void>((done) => {
        client.on('error', () => done());
        client.on('end', () => done());
      });
      try {
        await client.connect();
        client.on('notification', ({ payload = '' }) => this.ears.forEach((ear) => ear.heard(payload)));
        await client.query(`listen ${CHANNEL}`);
        this.client = client;
        wait = FIRST_WAIT_MS;
        if (this.began) this.ears.forEach((ear) => ear.gap());
        this.began = true;
        await over;
      } catch {
        // Whatever it was, it is tried again.
      }
      this.client = undefined;
      this.drop(client);
      // Servers that lost one database together do not come back in one step.
      if (!this.closed)
        await pause(wait * (0.5 + Math.random()), undefined, { signal: this.closing.signal }).catch(() => undefined);
    }
  }

  private drop(client: pg.Client): void {
    // Asked to end, a connection on which nothing goes through would wait for an answer.
    void client.end().catch(() => undefined);
    (client as unknown as { connection?: { stream?: { destroy(): void } } }).connection?.stream?.destroy();
  }
}
