import { Door, Session, Shop } from '../job/exchange.ts';
import { ask, type Ask, Refused } from './api.ts';
import type { Keep } from './keep.ts';

type DoorKeep = Pick<Keep, 'door' | 'putDoor'>;

/** How often a server that is away is asked for. */
const AWAY_MS = 5_000;
/** How often at most the server is told that somebody is at the tablet. */
const TOUCH_MS = 60_000;

/**
 * Who is at this tablet. It locks when nobody has touched it for as long as the shop says. Fires `change`.
 */
export class AtTablet extends EventTarget {
  door: Door | undefined;
  shop: Shop | undefined;
  /** Why the last PIN or form was not taken. */
  says = '';
  /** The server could not be reached, so whoever was here last goes on, on this tablet only. */
  offline = false;
  locked = false;
  private touched = 0;
  private told = 0;
  private asked = 0;

  private constructor(
    private readonly keep: DoorKeep,
    private readonly now: () => number,
    private readonly ask: Ask,
  ) {
    super();
  }

  static async open(keep: DoorKeep, now: () => number, by: Ask = ask): Promise<AtTablet> {
    const at = new AtTablet(keep, now, by);
    at.touched = now();
    await at.look();
    return at;
  }

  /** A shop of one person. */
  get alone(): boolean {
    return this.shop?.alone ?? false;
  }

  /** Tools in the shop; undefined = all. */
  get tools(): readonly string[] | undefined {
    return this.shop?.tools ?? undefined;
  }

  get units(): 'metric' | 'us' {
    return this.shop?.units ?? 'metric';
  }

  get session(): Session | undefined {
    return this.door?.session ?? undefined;
  }

  /** Goes with every change, so that no other site can make one. */
  get token(): string {
    return this.session?.token ?? '';
  }

  /** Asks the server who is signed in; without it, whoever signed in here last. */
  async look(): Promise<void> {
    this.asked = this.now();
    try {
      this.door = Door.parse(await this.ask('/api/door'));
      this.offline = false;
      if (this.session) {
        this.shop = Shop.parse(await this.ask('/api/shop'));
        void this.keep.putDoor({ door: this.door, shop: this.shop });
      }
    } catch (error) {
      // One that is being closed, or has lost its database, is as good as none.
      if (!(error instanceof TypeError) && !(error instanceof Refused && error.status >= 500)) throw error;
      const kept = this.door ? undefined : await this.keep.door();
      if (kept) {
        this.door = kept.door;
        this.shop = kept.shop;
      }
      this.offline = true;
    }
    this.locked = this.session === undefined;
    this.changed();
  }

  async signIn(person: string, pin: string): Promise<void> {
    await this.tried(async () => {
      const session = Session.parse(await this.ask('/api/session', post({ person, pin })));
      if (this.door) this.door = { ...this.door, session };
    });
  }

  async makeFirst({ code, name, pin, shop }: { code: string; name: string; pin: string; shop: string }): Promise<void> {
    await this.tried(async () => {
      await this.ask('/api/first', post({ code, name, pin, shop }));
    });
  }

  async signOut(): Promise<void> {
    this.lock();
    await this.ask('/api/session', { method: 'DELETE', headers: { 'x-token': this.token } }).catch(() => undefined);
    await this.look();
  }

  lock(): void {
    this.locked = true;
    this.changed();
  }

  /** Somebody touched the tablet. */
  touch(): void {
    const now = this.now();
    if (this.locked || !this.door) return;
    if (now - this.touched > this.door.locksAfter * 60_000) return this.lock();
    this.touched = now;
    if (now - this.told < TOUCH_MS || this.offline) return;
    this.told = now;
    this.ask('/api/session', { method: 'PUT', headers: { 'x-token': this.token } }).catch((error: unknown) => {
      if (error instanceof Refused && error.status === 401) this.lock();
    });
  }

  /** Called now and then: locks when its time is over, and asks for the server while it is away. */
  tick(): void {
    if (this.offline && this.now() - this.asked > AWAY_MS) void this.look();
    if (!this.locked && this.door && this.now() - this.touched > this.door.locksAfter * 60_000) this.lock();
  }

  private async tried(attempt: () => Promise<void>): Promise<void> {
    this.says = '';
    try {
      await attempt();
      this.touched = this.now();
      await this.look();
    } catch (error) {
      if (error instanceof TypeError) this.says = 'The server cannot be reached, and only it knows the PINs.';
      else if (error instanceof Refused) this.says = error.message;
      else throw error;
      this.changed();
    }
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

function post(body: object): RequestInit {
  return { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
}
