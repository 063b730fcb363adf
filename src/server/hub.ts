import type { Live } from '../job/exchange.ts';

export interface Listener {
  readonly session: string;
  hear(message: Live): void;
  /** Why it is over is for the listener to say. */
  end(): void;
}

/** Streams of one session and of all; a page has one, and one more while it is loaded anew. */
const MOST_OF_SESSION = 4;
const MOST = 200;

/** Who is to hear at once what has changed. */
export class Hub {
  private readonly listeners = new Set<Listener>();

  /** False where there are too many already. The oldest of a session makes room for its newest. */
  join(listener: Listener): boolean {
    const own = [...this.listeners].filter(({ session }) => session === listener.session);
    if (own.length >= MOST_OF_SESSION) own[0]?.end();
    if (this.listeners.size >= MOST) return false;
    this.listeners.add(listener);
    return true;
  }

  leave(listener: Listener): void {
    this.listeners.delete(listener);
  }

  tell(message: Live): void {
    for (const listener of this.listeners) listener.hear(message);
  }

  endSession(session: string): void {
    for (const listener of this.listeners) if (listener.session === session) listener.end();
  }

  endAll(): void {
    for (const listener of this.listeners) listener.end();
  }

  get size(): number {
    return this.listeners.size;
  }
}
