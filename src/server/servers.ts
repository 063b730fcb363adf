import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { Live } from '../job/exchange.ts';
import type { Database } from '../store/open.ts';
import type { Across, AcrossEar, Passed } from './hub.ts';

/** PostgreSQL takes 7,999 bytes at a time; the rest is for whatever stands around a message. */
const MOST_BYTES = 7_900;

const Said = z.object({
  from: z.string(),
  /** Left out where it is about the server and not about one of its sites. */
  site: z.string().optional(),
  message: z.unknown().optional(),
  session: z.string().optional(),
  end: z.string().optional(),
  /** A sign of life, the first one or the last one. */
  server: z.enum(['came', 'is', 'goes']).optional(),
});
type Said = z.infer<typeof Said>;

export interface Beat {
  /** Milliseconds between signs of life, and after how many without one a server is taken for dead. */
  readonly every: number;
  readonly dead: number;
}

const BEAT: Beat = { every: 5_000, dead: 20_000 };

/**
 * The servers on one database, as one of them sees the others. What it could not say, or did not hear, because the line
 * was broken, ends in "read anew": here after a gap, there for every site of which something was not said, and for all
 * where a server died, for it may have kept something and not come to say so.
 */
export class Servers {
  readonly id = randomUUID();
  private readonly ears = new Map<string, Set<AcrossEar>>();
  private readonly others = new Map<string, number>();
  /** Sites that owe the others a word. */
  private readonly owed = new Set<string>();
  private readonly deafen: () => void;
  private readonly beating: NodeJS.Timeout;

  constructor(
    private readonly database: Pick<Database, 'listen' | 'notify'>,
    private readonly beat: Beat = BEAT,
  ) {
    this.deafen = database.listen({ heard: (text) => this.heard(text), gap: () => this.gap() });
    this.beating = setInterval(() => this.turn(), beat.every).unref();
    void this.say({ from: this.id, server: 'came' });
  }

  /** For the hub of a site. */
  site(site: string): Across {
    return {
      here: this.id,
      pass: (passed) => void this.pass(site, passed),
      hear: (ear) => {
        const ears = this.ears.get(site) ?? new Set();
        this.ears.set(site, ears.add(ear));
        return () => ears.delete(ear);
      },
    };
  }

  /** Before the database is closed. */
  async close(): Promise<void> {
    clearInterval(this.beating);
    await this.say({ from: this.id, server: 'goes' });
    this.deafen();
  }

  private async pass(site: string, passed: Passed): Promise<void> {
    const said = await this.say({ from: this.id, site, ...passed });
    if (!said) this.owed.add(site);
  }

  private say(what: Said): Promise<boolean> {
    const text = JSON.stringify(what);
    if (Buffer.byteLength(text) <= MOST_BYTES) return this.database.notify(text);
    // Nothing said is that long today; were it, the tablets would look for themselves.
    return this.database.notify(JSON.stringify({ from: this.id, site: what.site }));
  }

  private heard(text: string): void {
    const said = readSaid(text);
    if (!said || said.from === this.id) return;
    const { from, site } = said;
    const known = this.others.has(from);
    this.others.set(from, performance.now());
    if (said.server === 'goes') return this.lost(from);
    if (!known) this.all((ear) => ear.came());
    if (site === undefined) return;
    const passed = passedIn(said);
    for (const ear of this.ears.get(site) ?? []) ear.passed(passed, from);
  }

  private gap(): void {
    this.all((ear) => ear.passed({ anew: true }, this.id));
    // While nothing was heard nobody can be missed.
    for (const other of this.others.keys()) this.others.set(other, performance.now());
    const owed = [...this.owed];
    this.owed.clear();
    for (const site of owed) void this.pass(site, { anew: true });
  }

  private turn(): void {
    void this.say({ from: this.id, server: 'is' });
    for (const [other, at] of this.others)
      if (performance.now() - at > this.beat.dead) {
        this.lost(other);
        this.all((ear) => ear.passed({ anew: true }, other));
      }
  }

  private lost(server: string): void {
    this.others.delete(server);
    this.all((ear) => ear.gone(server));
  }

  private all(tell: (ear: AcrossEar) => void): void {
    for (const ears of this.ears.values()) for (const ear of ears) tell(ear);
  }
}

/** Undefined for what another program says on the same channel. */
function readSaid(text: string): Said | undefined {
  try {
    return Said.safeParse(JSON.parse(text)).data;
  } catch {
    return undefined;
  }
}

/** What a newer server says and this one does not know is something that its tablets look for themselves. */
function passedIn({ message, session, end }: Said): Passed {
  if (end !== undefined) return { end };
  const read = Live.safeParse(message);
  return read.success ? { message: read.data, session } : { anew: true };
}
