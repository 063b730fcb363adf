import { ZodError } from 'zod';
import type { Command } from '../job/commands.ts';
import type { Answered, Outcome, Served } from '../job/exchange.ts';
import { type Ask, fetchOpenRecords, fetchRecord, Refused, sendCommands, sendPhoto } from './api.ts';
import { notTakenOf } from './not-taken.ts';
import { grown } from './record-grow.ts';
import type { RecordShelf } from './record-shelf.ts';
import { isEnded, type RecordState } from './record-state.ts';
import type { AtTablet } from './session.ts';

/** Calls later what it is given; gives what takes that back. */
export type Later = (ms: number, go: () => void) => () => void;

const RETRY_MS = 5_000;
/** As many commands as the server takes in one go. */
const MOST_AT_ONCE = 200;
/** Answers to a call that come to the same however often it is made: it is not read, too large, or of no known shape. */
const FOR_GOOD: readonly number[] = [400, 404, 413, 422];

/** Brings what was said to the server, one call at a time and in its order, and what others said to this tablet. */
export class RecordSender {
  /** The server answered the last time. */
  reached = true;
  /** It answers with what this page cannot read. */
  misread = false;
  private sending: Promise<void> | undefined;
  private cancel: () => void = () => undefined;

  constructor(
    private readonly shelf: RecordShelf,
    private readonly tablet: AtTablet,
    private readonly ask: Ask,
    private readonly later: Later,
    private readonly changed: () => void,
  ) {}

  /** One sender at a time, so that what is said keeps its order. Never rejects where the server cannot be had. */
  send(): Promise<void> {
    this.sending ??= this.sendWaiting().finally(() => {
      this.sending = undefined;
    });
    return this.sending;
  }

  /** Fetches what other tablets said, then sends what waits here. */
  async sync(): Promise<void> {
    try {
      const there = await fetchOpenRecords(this.ask);
      for (const { ro, version } of there) if (this.behind(ro, version)) await this.fetch(ro);
      const open = new Set(there.map(({ ro }) => ro));
      const missing = this.shelf
        .all()
        .filter(({ state }) => state.hash !== '' && !isEnded(state) && !open.has(state.ro));
      for (const { state } of missing) await this.fetch(state.ro);
      this.wasReached();
    } catch (error) {
      this.unreached(error);
    }
    this.changed();
    await this.send();
  }

  /** Fetches one record, or what is new of it. */
  async fetch(ro: string): Promise<void> {
    const from = this.shelf.get(ro)?.state.version ?? 0;
    try {
      await this.grow(await fetchRecord(ro, from, this.ask), from);
    } catch (error) {
      if (!(error instanceof Refused && error.status === 404)) throw error;
    }
    this.changed();
  }

  behind(ro: string, version: number): boolean {
    return (this.shelf.get(ro)?.state.version ?? 0) < version;
  }

  /** Only who said it sends it: what somebody else said without a signal waits until he signs in. */
  mine({ queue }: RecordState): Command[] {
    return queue.filter(({ by }) => by === this.tablet.session?.person.name);
  }

  /** Sends commands that stand in the queue, or that never go into it; what was refused of the former is told later. */
  async post({ ro, version }: RecordState, commands: readonly Command[]): Promise<readonly Outcome[]> {
    const answer = await sendCommands(ro, version, commands, this.tablet.token, this.ask);
    this.settle(ro, answer);
    if (answer.record) await this.grow(answer.record, version);
    return answer.outcomes;
  }

  unreached(error: unknown): void {
    const locked = error instanceof Refused && error.status === 401;
    if (locked) this.tablet.lock();
    // What comes from somebody else's gate on the way, or from a newer server, is no answer either.
    else if (!(error instanceof TypeError || error instanceof Refused || error instanceof ZodError)) throw error;
    this.misread = error instanceof ZodError;
    this.reached = false;
    this.cancel();
    // Under the lock nobody may send; signing in asks again.
    if (!locked) this.cancel = this.later(RETRY_MS, () => void this.sync());
    this.changed();
  }

  private async sendWaiting(): Promise<void> {
    this.cancel();
    for (let state = this.nextWaiting(); state; state = this.nextWaiting()) {
      try {
        await this.sendPhotos();
        await this.sendSome(state.ro);
        this.wasReached();
      } catch (error) {
        this.unreached(error);
        return;
      }
    }
    this.changed();
  }

  private async sendSome(ro: string): Promise<void> {
    const state = this.shelf.get(ro)?.state;
    if (!state) return;
    const commands = this.mine(state).slice(0, MOST_AT_ONCE);
    const { token } = this.tablet;
    await this.leave(state, commands);
    // Somebody else may have signed in meanwhile: what this one said is sent by nobody else.
    if (token !== this.tablet.token) return;
    try {
      await this.post(state, commands);
    } catch (error) {
      if (!(error instanceof Refused) || !FOR_GOOD.includes(error.status)) throw error;
      // One that can never be read must not stand in the way of the others.
      if (commands.length > 1) for (const one of commands) await this.sendOne(ro, one);
      else this.giveUp(ro, commands[0] as Command, error.message);
    }
  }

  /** On the tablet they are known to be under way before they are. */
  private async leave(state: RecordState, commands: readonly Command[]): Promise<void> {
    const tried = new Set(state.tried);
    if (commands.every(({ id }) => tried.has(id))) return;
    await this.shelf.turn({ ...state, tried: [...tried, ...commands.map(({ id }) => id)] });
  }

  private async sendOne(ro: string, command: Command): Promise<void> {
    const state = this.shelf.get(ro)?.state;
    if (!state || !this.mine(state).some(({ id }) => id === command.id)) return;
    try {
      await this.post(state, [command]);
    } catch (error) {
      if (!(error instanceof Refused) || !FOR_GOOD.includes(error.status)) throw error;
      this.giveUp(ro, command, error.message);
    }
  }

  private giveUp(ro: string, command: Command, why: string): void {
    this.settle(ro, { outcomes: [{ is: 'refused', id: command.id, refused: [why] }], record: null });
  }

  private settle(ro: string, { outcomes, record }: Answered): void {
    const held = this.shelf.get(ro);
    if (!held) return;
    const { state } = held;
    const settled = new Set(outcomes.map(({ id }) => id));
    const queue = state.queue.filter(({ id }) => !settled.has(id));
    if (queue.length === state.queue.length) return;
    const tried = (state.tried ?? []).filter((id) => !settled.has(id));
    const refused = outcomes.flatMap((one) => (one.is === 'refused' ? [{ id: one.id, says: one.refused }] : []));
    const told = notTakenOf(ro, state.queue, refused);
    // A job that the server did not let begin is no record: its written-up sheet is still there.
    if (queue.length === 0 && record === null && state.events.length === 0) this.shelf.forget(ro, told);
    else void this.shelf.hold({ ...held, state: { ...state, queue, tried } }, told);
  }

  /** Puts events behind those that are here; where they do not join on, what is wanting is fetched. */
  private async grow(served: Served, asked: number): Promise<void> {
    const { ro } = served;
    const had = this.shelf.get(ro)?.state;
    const state = grown(had, served, asked, this.tablet.alone);
    if (state === 'apart') await this.fetch(ro);
    else if (state !== had) void this.shelf.turn(state);
  }

  private async sendPhotos(): Promise<void> {
    for (const [hash, blob] of this.shelf.photos) {
      try {
        await sendPhoto(blob, this.tablet.token, this.ask);
      } catch (error) {
        // What the server will never take must not stand in the way of the rest.
        if (!(error instanceof Refused) || error.status === 401 || error.status >= 429) throw error;
        this.shelf.tell({ id: hash, ro: 'a photo', ...this.signature(), says: [error.message], commands: [] });
      }
      this.shelf.dropPhoto(hash);
    }
  }

  private signature(): { by: string; at: string } {
    return { by: this.tablet.session?.person.name ?? '', at: '' };
  }

  private nextWaiting(): RecordState | undefined {
    return this.shelf.all().find(({ state }) => this.mine(state).length > 0)?.state;
  }

  private wasReached(): void {
    this.reached = true;
    this.misread = false;
  }
}
