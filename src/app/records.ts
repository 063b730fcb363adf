import type { Command, Saying } from '../job/commands.ts';
import type { Outcome, Served } from '../job/exchange.ts';
import { fold } from '../job/evolve.ts';
import { SERVER_ONLY } from '../job/people.ts';
import { sayingsBetween, sayingsOf, sheetAfter, type Sheet, sheetOf } from '../job/rewrite.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { fetchOpenRecords, fetchRecord, Refused, sendCommands, sendPhoto } from './api.ts';
import { newId } from './ids.ts';
import type { Keep } from './keep.ts';
import { isEnded, lastSaid, newState, pinned, type RecordState, type Refusal, refusedOf } from './record-state.ts';
import type { AtTablet } from './session.ts';

/** A record as this tablet shows it. */
interface HeldRecord {
  readonly state: RecordState;
  /** As it was last planned, or as somebody just wrote it. */
  readonly sheet: Sheet;
}

interface Here {
  readonly ro: string;
  readonly step: string;
  readonly person: string;
}

/** What the record did not take, for whoever said it. */
export interface NotTaken {
  readonly ro: string;
  readonly says: readonly string[];
}

const RETRY_MS = 5_000;
const UNREACHED =
  'The server cannot be reached. What lets a car go is said only with it: nothing of this was kept on the tablet.';

/**
 * The records of all cars that are in. What is said goes into a queue on this tablet at once, and to the server when it
 * can be reached, once and only once. Fires `change`.
 */
export class Records extends EventTarget {
  private readonly held = new Map<string, HeldRecord>();
  readonly notTaken: NotTaken[] = [];
  private hands: readonly Here[] = [];
  /** Pictures that have not reached the server. */
  private readonly photos = new Map<string, Blob>();
  private sending: Promise<void> | undefined;
  private retry: ReturnType<typeof setTimeout> | undefined;
  private reached = true;
  keepFails = false;

  private constructor(
    private readonly keep: Keep,
    private readonly rulebook: Rulebook,
    private readonly tablet: AtTablet,
    private readonly now: () => Date,
  ) {
    super();
  }

  static async open(keep: Keep, rulebook: Rulebook, at: AtTablet, now: () => Date): Promise<Records> {
    const records = new Records(keep, rulebook, at, now);
    for (const [hash, blob] of await keep.photos()) records.photos.set(hash, blob);
    for (const state of await keep.records()) records.held.set(state.ro, records.shown(state));
    return records;
  }

  /** Cars that are in. */
  open(): HeldRecord[] {
    return [...this.held.values()]
      .filter(({ state }) => !isEnded(state))
      .sort((a, b) => (lastSaid(a.state) < lastSaid(b.state) ? 1 : -1));
  }

  all(): HeldRecord[] {
    return [...this.held.values()];
  }

  /** Who else has the hands on which step of a job. */
  at(ro: string): readonly Here[] {
    return this.hands.filter((one) => one.ro === ro);
  }

  here(told: Here & { readonly gone: boolean }): void {
    const others = this.hands.filter(({ person }) => person !== told.person);
    this.hands = told.gone ? others : [...others, told];
    this.changed();
  }

  get(ro: string): HeldRecord | undefined {
    return this.held.get(ro);
  }

  get allSent(): boolean {
    return this.reached && [...this.held.values()].every(({ state }) => state.queue.length === 0);
  }

  /** Opens a job that was only written up, and says what comes first on its record. */
  openJob(file: JobFile, sayings: readonly Saying[]): void {
    const { version } = this.rulebook;
    const { units, alone } = this.tablet;
    const opening = { rulebook: version, units, ...tools(file.tools ?? this.tablet.tools) };
    const commands = this.signed([...sayingsOf(file, opening), ...sayings]);
    const lines = commands.flatMap((command) => (command.type === 'line-added' ? [command.id] : []));
    const state = newState(file.ro, version, commands, alone);
    this.hold({ state, sheet: { file, lines } });
    void this.send();
  }

  /** A job that went and came back opens as a new one that carries the old number. */
  comeBack(ro: string, old: { ro: string; rulebook: string }, complaint: string): void {
    const { version } = this.rulebook;
    const { units, alone } = this.tablet;
    const queue = this.signed([
      { type: 'came-back', ro, rulebook: version, units, ...tools(this.tablet.tools), old, complaint },
    ]);
    this.hold({ state: newState(ro, version, queue, alone), sheet: { file: { ro, work: [] }, lines: [] } });
    void this.send();
  }

  say(ro: string, sayings: readonly Saying[]): void {
    const held = this.held.get(ro);
    if (!held || sayings.length === 0) return;
    const queue = [...held.state.queue, ...this.signed(sayings)];
    this.hold({ ...held, state: { ...held.state, queue } });
    void this.send();
  }

  /** Says what turns the sheet into another; the sheet as it will be. */
  rewrite(ro: string, to: JobFile): JobFile | undefined {
    const held = this.held.get(ro);
    if (!held) return undefined;
    const commands = this.signed(sayingsBetween(held.sheet, to));
    if (commands.length === 0) return held.sheet.file;
    const added = commands.flatMap((command) => (command.type === 'line-added' ? [command.id] : []));
    const sheet = sheetAfter(held.sheet, to, added);
    this.hold({ sheet, state: { ...held.state, queue: [...held.state.queue, ...commands] } });
    void this.send();
    return sheet.file;
  }

  /** A picture goes to the server before anything that names it. */
  keepPhoto(hash: string, blob: Blob): void {
    this.photos.set(hash, blob);
    this.keep.putPhoto(hash, blob).catch(() => this.keepFailed());
  }

  /** Somebody has read why something was not taken. */
  read(one: NotTaken): void {
    this.notTaken.splice(this.notTaken.indexOf(one), 1);
    this.changed();
  }

  /** Says what only the server may take; undefined = taken, otherwise why not. */
  async sayNow(ro: string, sayings: readonly Saying[]): Promise<readonly string[] | undefined> {
    await this.send();
    const held = this.held.get(ro);
    if (!held) return [`There is no record of ${ro}.`];
    if (this.mine(held.state).length > 0) return [UNREACHED];
    try {
      const outcomes = await this.post(held.state, this.signed(sayings));
      const says = refusedOf(outcomes);
      return says.length > 0 ? says : undefined;
    } catch (error) {
      if (error instanceof Refused) return [error.message];
      if (error instanceof TypeError) return [UNREACHED];
      throw error;
    } finally {
      this.changed();
    }
  }

  /** Whether these have to be said with the server in reach. */
  static mustReach(sayings: readonly Saying[]): boolean {
    return sayings.some(({ type }) => SERVER_ONLY.includes(type));
  }

  /** What the rules made of a state: its sheet is shown from now on, what the record would not take goes. */
  sighted(state: RecordState, sheet: Sheet | undefined, refused: readonly Refusal[]): void {
    const held = this.held.get(state.ro);
    if (held?.state !== state) return;
    if (sheet) this.held.set(state.ro, { state, sheet });
    if (refused.length > 0 && !this.sending) this.drop(state, refused);
  }

  /** Fetches what other tablets said, then sends what waits here. */
  async sync(): Promise<void> {
    try {
      const there = await fetchOpenRecords();
      for (const { ro, version } of there) if (this.behind(ro, version)) await this.fetch(ro);
      const open = new Set(there.map(({ ro }) => ro));
      for (const { state } of this.open()) if (state.hash !== '' && !open.has(state.ro)) await this.fetch(state.ro);
      this.reached = true;
    } catch (error) {
      this.unreached(error);
    }
    this.changed();
    await this.send();
  }

  /** Fetches one record, or what is new of it. Undefined where there is none. */
  async fetch(ro: string): Promise<HeldRecord | undefined> {
    const from = this.held.get(ro)?.state.version ?? 0;
    try {
      this.grow(await fetchRecord(ro, from));
    } catch (error) {
      if (!(error instanceof Refused && error.status === 404)) throw error;
    }
    this.changed();
    return this.held.get(ro);
  }

  behind(ro: string, version: number): boolean {
    return (this.held.get(ro)?.state.version ?? 0) < version;
  }

  /** One sender at a time, so that what is said keeps its order. */
  private send(): Promise<void> {
    this.sending ??= this.sendWaiting().finally(() => {
      this.sending = undefined;
    });
    return this.sending;
  }

  private async sendWaiting(): Promise<void> {
    clearTimeout(this.retry);
    for (let state = this.nextWaiting(); state; state = this.nextWaiting()) {
      try {
        await this.sendPhotos();
        const outcomes = await this.post(state, this.mine(state).slice(0, MOST_AT_ONCE));
        this.reached = true;
        this.tell(state.ro, outcomes);
      } catch (error) {
        this.unreached(error);
        return;
      }
    }
    this.changed();
  }

  private async sendPhotos(): Promise<void> {
    for (const [hash, blob] of this.photos) {
      try {
        await sendPhoto(blob, this.tablet.token);
      } catch (error) {
        // What the server will never take must not stand in the way of the rest.
        if (!(error instanceof Refused) || error.status === 401 || error.status >= 429) throw error;
        this.notTaken.push({ ro: 'a photo', says: [error.message] });
      }
      this.photos.delete(hash);
      await this.keep.dropPhoto(hash);
    }
  }

  private nextWaiting(): RecordState | undefined {
    return [...this.held.values()].find(({ state }) => this.mine(state).length > 0)?.state;
  }

  /** Only who said it sends it: what somebody else said without a signal waits until he signs in. */
  private mine({ queue }: RecordState): Command[] {
    return queue.filter(({ by }) => by === this.tablet.session?.person.name);
  }

  /** Names of those whose words wait on this tablet for them. */
  waitingFor(): string[] {
    const names = [...this.held.values()].flatMap(({ state }) => state.queue.map(({ by }) => by));
    return [...new Set(names)].filter((name) => name !== this.tablet.session?.person.name).sort();
  }

  private async post({ ro, version }: RecordState, commands: readonly Command[]): Promise<readonly Outcome[]> {
    const answer = await sendCommands(ro, version, commands, this.tablet.token);
    const settled = new Set(answer.outcomes.map(({ id }) => id));
    const held = this.held.get(ro);
    if (held) {
      const queue = held.state.queue.filter(({ id }) => !settled.has(id));
      const state = { ...held.state, queue };
      if (queue.length === 0 && answer.record === null && state.events.length === 0) this.forget(ro);
      else this.hold({ ...held, state });
    }
    if (answer.record) this.grow(answer.record);
    return answer.outcomes;
  }

  private tell(ro: string, outcomes: readonly Outcome[]): void {
    const says = refusedOf(outcomes);
    if (says.length > 0) this.notTaken.push({ ro, says });
  }

  private drop(state: RecordState, refused: readonly Refusal[]): void {
    const gone = new Set(refused.map(({ id }) => id));
    const queue = state.queue.filter(({ id }) => !gone.has(id));
    if (queue.length === state.queue.length) return;
    this.notTaken.push({ ro: state.ro, says: [...new Set(refused.flatMap(({ says }) => says))] });
    const held = this.held.get(state.ro);
    if (held) this.hold({ ...held, state: { ...state, queue } });
  }

  /** Puts events behind those that are here; where they do not join on, all are fetched anew. */
  private grow({ ro, events, from, version, hash }: Served): void {
    const held = this.held.get(ro);
    const had = from === 0 ? 0 : (held?.state.version ?? 0);
    if (from !== had) {
      if (held && held.state.version >= version) return;
      if (held) this.held.set(ro, { ...held, state: { ...held.state, version: 0, events: [] } });
      return void this.fetch(ro);
    }
    if (held?.state.hash === hash && held.state.version === version) return;
    const all = from === 0 ? events : [...(held?.state.events ?? []), ...events];
    const { alone } = this.tablet;
    const queue = held?.state.queue ?? [];
    const state: RecordState = { ro, events: all, version, queue, hash, rulebook: pinned(all), alone };
    this.hold(held ? { ...held, state } : this.shown(state));
  }

  private shown(state: RecordState): HeldRecord {
    return { state, sheet: sheetOf(fold(state.events), this.rulebook) };
  }

  private signed(sayings: readonly Saying[]): Command[] {
    const by = this.tablet.session?.person.name ?? '';
    const at = this.now().toISOString();
    return sayings.map((saying) => ({ ...saying, id: newId(), at, by }) as Command);
  }

  private hold(held: HeldRecord): void {
    this.held.set(held.state.ro, held);
    this.keep.putRecord(held.state).catch(() => this.keepFailed());
    this.changed();
  }

  private forget(ro: string): void {
    this.held.delete(ro);
    this.keep.dropRecord(ro).catch(() => this.keepFailed());
    this.changed();
  }

  private keepFailed(): void {
    this.keepFails = true;
    this.changed();
  }

  private unreached(error: unknown): void {
    const locked = error instanceof Refused && error.status === 401;
    if (locked) this.tablet.lock();
    else if (!(error instanceof TypeError) && !(error instanceof Refused)) throw error;
    this.reached = false;
    clearTimeout(this.retry);
    // Under the lock nobody may send; signing in asks again.
    if (!locked) this.retry = setTimeout(() => void this.sync(), RETRY_MS);
    this.changed();
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

/** As many commands as the server takes in one go. */
const MOST_AT_ONCE = 200;

/** Left out: the shop has every tool. */
function tools(there: readonly string[] | undefined): { tools?: string[] } {
  return there ? { tools: [...there] } : {};
}
