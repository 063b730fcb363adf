import type { Command, Saying } from '../job/commands.ts';
import { SERVER_ONLY } from '../job/people.ts';
import { sayingsBetween, sayingsOf, sheetAfter, type Sheet } from '../job/rewrite.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { ask, type Ask, Refused } from './api.ts';
import { newId } from './ids.ts';
import { type NotTaken, notTakenOf, type Refusal } from './not-taken.ts';
import { type Later, RecordSender } from './record-sender.ts';
import { type HeldRecord, NOT_FROM_A_QUEUE, type RecordKeep, RecordShelf } from './record-shelf.ts';
import { isEnded, lastSaid, newState, type RecordState, refusedOf } from './record-state.ts';
import type { AtTablet } from './session.ts';

interface Here {
  readonly ro: string;
  readonly step: string;
  readonly person: string;
}

/** What records stand on. */
export interface Ground {
  readonly keep: RecordKeep;
  readonly rulebook: Rulebook;
  readonly at: AtTablet;
  /** Name of the tablet itself: what was said on it is known on it. */
  readonly name: string;
  readonly now: () => Date;
  readonly ask?: Ask;
  readonly later?: Later;
}

const UNREACHED =
  'The server cannot be reached. What lets a car go is said only with it: nothing of this was kept on the tablet.';
const UNANSWERED =
  'No answer came from the server. If it took this, the sheet shows it as soon as it is in reach; if not, say it again: twice said it is taken once.';

/**
 * The records of all cars that are in. What is said goes into a queue on this tablet at once, and to the server when it
 * can be reached, once and only once. Fires `change`.
 */
export class Records extends EventTarget {
  private hands: readonly Here[] = [];
  private readonly shelf: RecordShelf;
  private readonly sender: RecordSender;
  /** By RO number, what was said with the server in reach and never answered. */
  private readonly unanswered = new Map<string, readonly Command[]>();

  private constructor(
    private readonly ground: Ground,
    shelf: (changed: () => void) => RecordShelf,
  ) {
    super();
    const changed = () => this.changed();
    this.shelf = shelf(changed);
    this.sender = new RecordSender(this.shelf, ground.at, ground.ask ?? ask, ground.later ?? byTimer, changed);
  }

  static async open(ground: Ground): Promise<Records> {
    let changed = (): void => undefined;
    const shelf = await RecordShelf.open(ground.keep, ground.rulebook, () => changed());
    return new Records(ground, (told) => {
      changed = told;
      return shelf;
    });
  }

  /** Cars that are in. */
  open(): HeldRecord[] {
    return this.all()
      .filter(({ state }) => !isEnded(state))
      .sort((a, b) => (lastSaid(a.state) < lastSaid(b.state) ? 1 : -1));
  }

  all(): HeldRecord[] {
    return this.shelf.all();
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
    return this.shelf.get(ro);
  }

  get allSent(): boolean {
    return this.sender.reached && this.all().every(({ state }) => state.queue.length === 0);
  }

  /** The server answers with what this page cannot read. */
  get misread(): boolean {
    return this.sender.misread;
  }

  get keepFails(): boolean {
    return this.shelf.keepFails;
  }

  /** What was not taken and nobody has read yet, whoever said it. */
  get notTaken(): readonly NotTaken[] {
    return this.shelf.notTaken;
  }

  /** Opens a job that was only written up, and says what comes first on its record. */
  openJob(file: JobFile, sayings: readonly Saying[]): void {
    const { version } = this.ground.rulebook;
    const { units, alone } = this.ground.at;
    const opening = { rulebook: version, units, ...tools(file.tools ?? this.ground.at.tools) };
    const commands = this.signed([...sayingsOf(file, opening), ...sayings]);
    const state = newState(file.ro, version, commands, alone);
    void this.shelf.hold({ state, sheet: { file, lines: linesIn(commands) } });
    void this.sender.send();
  }

  /** A job that went and came back opens as a new one that carries the old number. */
  comeBack(ro: string, old: { ro: string; rulebook: string }, complaint: string): void {
    const { version } = this.ground.rulebook;
    const { units, alone } = this.ground.at;
    const queue = this.signed([
      { type: 'came-back', ro, rulebook: version, units, ...tools(this.ground.at.tools), old, complaint },
    ]);
    void this.shelf.hold({ state: newState(ro, version, queue, alone), sheet: { file: { ro, work: [] }, lines: [] } });
    void this.sender.send();
  }

  /** Throws where it lets a car go: that is never kept. */
  say(ro: string, sayings: readonly Saying[]): void {
    if (Records.mustReach(sayings)) throw new Error(NOT_FROM_A_QUEUE);
    const held = this.get(ro);
    if (held && sayings.length > 0) this.queue(held, this.signed(sayings, held.state), held.sheet);
  }

  /** Says what turns the sheet into another; the sheet as it will be. */
  rewrite(ro: string, to: JobFile): JobFile | undefined {
    const held = this.get(ro);
    if (!held) return undefined;
    const commands = this.signed(sayingsBetween(held.sheet, to), held.state);
    if (commands.length === 0) return held.sheet.file;
    const sheet = sheetAfter(held.sheet, to, linesIn(commands));
    this.queue(held, commands, sheet);
    return sheet.file;
  }

  /** A picture goes to the server before anything that names it. */
  keepPhoto(hash: string, blob: Blob): void {
    this.shelf.putPhoto(hash, blob);
  }

  /** Somebody has read why something was not taken. */
  read(one: NotTaken): void {
    this.shelf.read(one);
  }

  /** Says what only the server may take; undefined = taken, otherwise why not. */
  async sayNow(ro: string, sayings: readonly Saying[]): Promise<readonly string[] | undefined> {
    await this.sender.send();
    const held = this.get(ro);
    if (!held) return [`There is no record of ${ro}.`];
    if (this.sender.mine(held.state).length > 0) return [UNREACHED];
    const commands = this.again(ro, sayings) ?? this.signed(sayings, held.state);
    this.unanswered.set(ro, commands);
    try {
      const says = refusedOf(await this.sender.post(held.state, commands));
      this.unanswered.delete(ro);
      return says.length > 0 ? says : undefined;
    } catch (error) {
      if (error instanceof Refused) return [error.message];
      if (error instanceof TypeError) return [UNANSWERED];
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
    const held = this.get(state.ro);
    if (held?.state !== state) return;
    if (sheet) this.shelf.show({ state, sheet });
    const gone = new Set(refused.map(({ id }) => id));
    const queue = state.queue.filter(({ id }) => !gone.has(id) || state.tried?.includes(id));
    if (queue.length === state.queue.length) return;
    const dropped = state.queue.filter((command) => !queue.includes(command));
    void this.shelf.turn({ ...state, queue }, notTakenOf(state.ro, dropped, refused));
  }

  /** Fetches what other tablets said, then sends what waits here. Never rejects where the server cannot be had. */
  sync(): Promise<void> {
    return this.sender.sync();
  }

  /** Another tablet wrote, and the record has so many events now. */
  async heard(ro: string, version: number): Promise<void> {
    if (!this.sender.behind(ro, version)) return;
    await this.sender.fetch(ro).catch((error: unknown) => this.sender.unreached(error));
  }

  /** Fetches one record, or what is new of it. Undefined where there is none; rejects where the server cannot be had. */
  async fetch(ro: string): Promise<HeldRecord | undefined> {
    await this.sender.fetch(ro);
    return this.get(ro);
  }

  /** Names of those whose words wait on this tablet for them. */
  waitingFor(): string[] {
    const names = this.all().flatMap(({ state }) => state.queue.map(({ by }) => by));
    return [...new Set(names)].filter((name) => name !== this.ground.at.session?.person.name).sort();
  }

  private queue({ state }: HeldRecord, commands: readonly Command[], sheet: Sheet): void {
    void this.shelf.hold({ sheet, state: { ...state, queue: [...state.queue, ...commands] } });
    void this.sender.send();
  }

  /** The same words to which no answer came, so that they are taken once. */
  private again(ro: string, sayings: readonly Saying[]): readonly Command[] | undefined {
    const had = this.unanswered.get(ro);
    const by = this.ground.at.session?.person.name;
    const bare = (commands: readonly object[]) =>
      JSON.stringify(
        commands.map((one) => ({
          ...one,
          id: undefined,
          at: undefined,
          by: undefined,
          had: undefined,
          tablet: undefined,
        })),
      );
    return had && had.every((one) => one.by === by) && bare(had) === bare(sayings) ? had : undefined;
  }

  private signed(sayings: readonly Saying[], state?: RecordState): Command[] {
    const by = this.ground.at.session?.person.name;
    if (by === undefined) throw new Error('nobody is signed in on this tablet: nobody can have said this');
    const at = this.ground.now().toISOString();
    const had = state?.events.at(-1)?.id;
    const seen = { tablet: this.ground.name, ...(had === undefined ? {} : { had }) };
    return sayings.map((saying) => ({ ...saying, id: newId(), at, by, ...seen }) as Command);
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

function byTimer(ms: number, go: () => void): () => void {
  const timer = setTimeout(go, ms);
  return () => clearTimeout(timer);
}

function linesIn(commands: readonly Command[]): string[] {
  return commands.flatMap((command) => (command.type === 'line-added' ? [command.id] : []));
}

/** Left out: the shop has every tool. */
function tools(there: readonly string[] | undefined): { tools?: string[] } {
  return there ? { tools: [...there] } : {};
}
