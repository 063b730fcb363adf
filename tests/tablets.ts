import { askOver } from '../src/app/api.ts';
import type { KeptDoor } from '../src/app/keep.ts';
import type { NotTaken } from '../src/app/not-taken.ts';
import { throughQueue } from '../src/app/record-queue.ts';
import type { RecordKeep } from '../src/app/record-shelf.ts';
import type { RecordState } from '../src/app/record-state.ts';
import { Records } from '../src/app/records.ts';
import { AtTablet } from '../src/app/session.ts';
import type { Command } from '../src/job/commands.ts';
import { fold } from '../src/job/evolve.ts';
import { SERVER_ONLY } from '../src/job/people.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';

/** Tablets without a browser: the page's own code over a drawer in memory, and a network that a test turns off and on. */

/** What outlives the page. */
export class Drawer {
  readonly records = new Map<string, RecordState>();
  readonly notTaken = new Map<string, NotTaken>();
  readonly photos = new Map<string, Blob>();
  door: KeptDoor | undefined;
  /** Ids of all words that it ever held. */
  readonly held = new Set<string>();
}

/** Writes into the drawer in their order, a moment after they are asked for, each in one stroke. */
class MemoryKeep implements RecordKeep {
  private waiting: (() => void)[] = [];
  private dead = false;

  constructor(private readonly drawer: Drawer) {}

  /** The page is gone; what was on its way into the drawer came through or did not. */
  die(lost: boolean): void {
    if (!lost) this.write();
    this.waiting = [];
    this.dead = true;
  }

  records(): Promise<RecordState[]> {
    return Promise.resolve(structuredClone([...this.drawer.records.values()]));
  }

  notTaken(): Promise<NotTaken[]> {
    return Promise.resolve(structuredClone([...this.drawer.notTaken.values()]));
  }

  photos(): Promise<[string, Blob][]> {
    return Promise.resolve([...this.drawer.photos]);
  }

  door(): Promise<KeptDoor | undefined> {
    return Promise.resolve(this.drawer.door);
  }

  putDoor(door: KeptDoor): Promise<void> {
    return this.stroke(() => (this.drawer.door = door));
  }

  putRecord(state: RecordState, refused: readonly NotTaken[] = []): Promise<void> {
    const stray = state.queue.find(({ type }) => SERVER_ONLY.includes(type));
    if (stray) throw new Error(`"${stray.type}" was about to be kept on a tablet`);
    const [kept, told] = structuredClone([state, refused] as const);
    return this.stroke(() => {
      this.drawer.records.set(kept.ro, kept);
      for (const { id } of kept.queue) this.drawer.held.add(id);
      for (const one of told) this.drawer.notTaken.set(one.id, one);
    });
  }

  dropRecord(ro: string, refused: readonly NotTaken[] = []): Promise<void> {
    const told = structuredClone(refused);
    return this.stroke(() => {
      this.drawer.records.delete(ro);
      for (const one of told) this.drawer.notTaken.set(one.id, one);
    });
  }

  putNotTaken(one: NotTaken): Promise<void> {
    return this.stroke(() => this.drawer.notTaken.set(one.id, one));
  }

  dropNotTaken(id: string): Promise<void> {
    return this.stroke(() => this.drawer.notTaken.delete(id));
  }

  putPhoto(hash: string, blob: Blob): Promise<void> {
    return this.stroke(() => this.drawer.photos.set(hash, blob));
  }

  dropPhoto(hash: string): Promise<void> {
    return this.stroke(() => this.drawer.photos.delete(hash));
  }

  private stroke(change: () => unknown): Promise<void> {
    if (this.dead) return new Promise(() => undefined);
    return new Promise((done) => {
      if (this.waiting.length === 0) setImmediate(() => this.write());
      this.waiting.push(() => {
        change();
        done();
      });
    });
  }

  private write(): void {
    for (const one of this.waiting.splice(0)) one();
  }
}

/** What lies between a tablet and the server. */
export class Air {
  on = true;
  /** Calls and answers wait until they are let through. */
  slow = false;
  /** So many answers to come are lost behind what the server did. */
  loses = 0;
  lost = 0;
  private readonly held: (() => void)[] = [];

  letThrough(count = Infinity): void {
    for (const go of this.held.splice(0, count)) go();
  }

  async passed(): Promise<void> {
    if (this.slow) await new Promise<void>((go) => this.held.push(go));
    if (!this.on) throw new TypeError('no network');
  }
}

type Send = (path: string, init?: RequestInit) => Response | Promise<Response>;

/** One tablet, from its first start over every page that was opened on it. */
export class Tablet {
  readonly drawer = new Drawer();
  readonly air = new Air();
  /** What its clock is ahead of the server's, in milliseconds. */
  ahead = 0;
  at!: AtTablet;
  records!: Records;
  /** Whose session the browser holds. */
  cookie = '';
  /** What let a car go and left for the server: command ids. */
  readonly atOnce: string[] = [];
  private keep!: MemoryKeep;
  /** Counts the pages that were opened on it. */
  page = 0;

  constructor(
    readonly name: string,
    private readonly server: Send,
    private readonly clock: () => Date,
    private readonly books: readonly Rulebook[],
  ) {}

  /** Opens the page. The rules in force come first. */
  async start(): Promise<void> {
    const page = ++this.page;
    this.keep = new MemoryKeep(this.drawer);
    const ask = askOver((path, init) => this.call(page, path, init));
    this.at = await AtTablet.open(this.keep, () => this.now().getTime(), ask);
    this.records = await Records.open({
      keep: this.keep,
      rulebook: this.books[0] as Rulebook,
      at: this.at,
      name: this.name,
      now: () => this.now(),
      ask,
      // A test says itself when it is time to try again.
      later: () => () => undefined,
    });
  }

  /** The page ends in the middle of what it does; `lost`: so does what was being kept just then. */
  kill(lost: boolean): void {
    this.keep.die(lost);
    this.page++;
  }

  now(): Date {
    return new Date(this.clock().getTime() + this.ahead);
  }

  /** What the planner beside the page makes of each record, as it tells the page. */
  plan(): void {
    const books = new Map(this.books.map((book) => [book.version, book]));
    for (const { state } of this.records.all())
      this.records.sighted(state, undefined, throughQueue(fold(state.events), state, books).refused);
  }

  /** All that waits here. */
  queue(ro: string): readonly Command[] {
    return this.records.get(ro)?.state.queue ?? [];
  }

  private async call(page: number, path: string, init: RequestInit = {}): Promise<Response> {
    const headers = { ...(init.headers as Record<string, string>), cookie: this.cookie };
    await this.alive(page, this.air.passed());
    this.watch(init);
    const answer = await this.alive(page, Promise.resolve(this.server(path, { ...init, headers })));
    if (init.method === 'POST' && this.air.loses > 0) {
      this.air.loses--;
      this.air.lost++;
      throw new TypeError('the answer was lost');
    }
    await this.alive(page, this.air.passed());
    return answer;
  }

  private watch({ body }: RequestInit): void {
    if (typeof body !== 'string' || !body.includes('"commands"')) return;
    const { commands } = JSON.parse(body) as { commands: Command[] };
    this.atOnce.push(...commands.filter(({ type }) => SERVER_ONLY.includes(type)).map(({ id }) => id));
  }

  /** Nothing comes back to a page that is gone. */
  private async alive<T>(page: number, work: Promise<T>): Promise<T> {
    const settled = await work.then(
      (value) => ({ value }),
      (error: unknown) => ({ error }),
    );
    if (page !== this.page) return new Promise(() => undefined);
    if ('error' in settled) throw settled.error;
    return settled.value;
  }
}

/** What is under way goes as far as it can: timers of zero length, disk and all. */
export async function settle(turns = 6): Promise<void> {
  for (let i = 0; i < turns; i++) await new Promise<void>((done) => setImmediate(done));
}
