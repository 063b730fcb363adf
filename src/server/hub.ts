import type { Live } from '../job/exchange.ts';

export interface Listener {
  readonly session: string;
  hear(message: Live): void;
  /** Why it is over is for the listener to say. */
  end(): void;
}

/** What hubs of one site, each in a server of its own, say to each other. */
export type Passed =
  /** `session` is the one in which it was said. */
  | { readonly message: Live; readonly session?: string | undefined }
  /** A session is over. */
  | { readonly end: string }
  /** Something was missed. */
  | { readonly anew: true };

/** The way to the same site's hubs in other servers. */
export interface Across {
  /** Id of this server. */
  readonly here: string;
  pass(passed: Passed): void;
  /** Until the function that comes back is called. */
  hear(ear: AcrossEar): () => void;
}

export interface AcrossEar {
  passed(passed: Passed, from: string): void;
  /** A server is no more: nobody's hands are where it said. */
  gone(server: string): void;
  /** A server has come, and knows of nobody's hands. */
  came(): void;
}

/** Streams of one session and of all; a page has one, and one more while it is loaded anew. */
const MOST_OF_SESSION = 4;
const MOST = 200;
/** A tablet that lost its line is back within this, or away. */
const BACK_MS = 30_000;
/** What was said longer ago is not told to a tablet that has just come. */
const FRESH_MS = 3_600_000;

type HereMessage = Extract<Live, { type: 'here' }>;

interface Hands {
  readonly message: HereMessage;
  readonly session: string | undefined;
  readonly server: string;
  readonly at: number;
}

/** Who is to hear at once what has changed, on this server and, where several share one database, on each of them. */
export class Hub {
  private readonly listeners = new Set<Listener>();
  /** Who has the hands where, by name. */
  private readonly hands = new Map<string, Hands>();
  private readonly leaving = new Map<string, NodeJS.Timeout>();
  private readonly deafen: (() => void) | undefined;

  constructor(private readonly across?: Across) {
    this.deafen = across?.hear({
      passed: (passed, from) => this.passed(passed, from),
      gone: (server) => this.lapse((one) => one.server === server),
      came: () => this.sayHands(),
    });
  }

  /** False where there are too many already. The oldest of a session makes room for its newest. */
  join(listener: Listener): boolean {
    const own = [...this.listeners].filter(({ session }) => session === listener.session);
    if (own.length >= MOST_OF_SESSION) own[0]?.end();
    if (this.listeners.size >= MOST) return false;
    this.listeners.add(listener);
    this.back(listener.session);
    for (const { message, at } of this.hands.values()) if (performance.now() - at < FRESH_MS) listener.hear(message);
    return true;
  }

  leave(listener: Listener): void {
    const { session } = listener;
    if (!this.listeners.delete(listener) || this.leaving.has(session) || this.isHere(session)) return;
    if (![...this.hands.values()].some((one) => one.session === session)) return;
    const wait = setTimeout(() => this.leftOn(session), BACK_MS).unref();
    this.leaving.set(session, wait);
  }

  /** `session`: in which it was said. */
  tell(message: Live, session?: string): void {
    this.here(message, session, this.across?.here ?? '');
    this.across?.pass({ message, session });
  }

  endSession(session: string): void {
    this.endHere(session);
    this.across?.pass({ end: session });
  }

  /** The server is being closed. */
  endAll(): void {
    this.deafen?.();
    for (const wait of this.leaving.values()) clearTimeout(wait);
    for (const listener of this.listeners) listener.end();
  }

  get size(): number {
    return this.listeners.size;
  }

  private passed(passed: Passed, from: string): void {
    if ('end' in passed) this.endHere(passed.end);
    else if ('anew' in passed) this.toAll({ type: 'anew' });
    else this.here(passed.message, passed.session, from);
  }

  private here(message: Live, session: string | undefined, server: string): void {
    if (message.type === 'here') {
      if (message.gone) this.hands.delete(message.person);
      else this.hands.set(message.person, { message, session, server, at: performance.now() });
    }
    this.toAll(message);
  }

  private toAll(message: Live): void {
    for (const listener of this.listeners) listener.hear(message);
  }

  private endHere(session: string): void {
    for (const listener of this.listeners) if (listener.session === session) listener.end();
    this.back(session);
    this.lapse((one) => one.session === session);
  }

  private isHere(session: string): boolean {
    return [...this.listeners].some((one) => one.session === session);
  }

  private back(session: string): void {
    clearTimeout(this.leaving.get(session));
    this.leaving.delete(session);
  }

  private leftOn(session: string): void {
    this.leaving.delete(session);
    const gone = [...this.hands.values()].filter((one) => one.session === session);
    for (const { message } of gone) this.tell({ ...message, step: '', gone: true });
  }

  /** Each server finds by itself whose hands are gone, and tells its own tablets. */
  private lapse(which: (one: Hands) => boolean): void {
    for (const [person, one] of this.hands)
      if (which(one)) {
        this.hands.delete(person);
        this.toAll({ ...one.message, step: '', gone: true });
      }
  }

  private sayHands(): void {
    for (const { message, session, server } of this.hands.values())
      if (server === this.across?.here) this.across.pass({ message, session });
  }
}
