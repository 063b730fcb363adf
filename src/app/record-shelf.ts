import { fold } from '../job/evolve.ts';
import { SERVER_ONLY } from '../job/people.ts';
import { type Sheet, sheetOf } from '../job/rewrite.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Keep } from './keep.ts';
import { type NotTaken, notTakenOf } from './not-taken.ts';
import type { RecordState } from './record-state.ts';

/** A record as this tablet shows it. */
export interface HeldRecord {
  readonly state: RecordState;
  /** As it was last planned, or as somebody just wrote it. */
  readonly sheet: Sheet;
}

/** What a tablet keeps of its records. */
export type RecordKeep = Pick<
  Keep,
  | 'records'
  | 'putRecord'
  | 'dropRecord'
  | 'photos'
  | 'putPhoto'
  | 'dropPhoto'
  | 'notTaken'
  | 'putNotTaken'
  | 'dropNotTaken'
>;

/** Records in the hand, and the same kept, so that a reload shows them. `changed` is called with each change. */
export class RecordShelf {
  private readonly held = new Map<string, HeldRecord>();
  /** Pictures that have not reached the server. */
  readonly photos = new Map<string, Blob>();
  notTaken: readonly NotTaken[] = [];
  /** The last change could not be kept on this tablet: it is full, say. */
  keepFails = false;

  private constructor(
    private readonly keep: RecordKeep,
    private readonly rulebook: Rulebook,
    private readonly changed: () => void,
  ) {}

  static async open(keep: RecordKeep, rulebook: Rulebook, changed: () => void): Promise<RecordShelf> {
    const shelf = new RecordShelf(keep, rulebook, changed);
    for (const [hash, blob] of await keep.photos()) shelf.photos.set(hash, blob);
    shelf.notTaken = await keep.notTaken();
    for (const state of await keep.records()) shelf.held.set(state.ro, shelf.shown(state));
    for (const { state } of shelf.all()) shelf.sift(state);
    return shelf;
  }

  get(ro: string): HeldRecord | undefined {
    return this.held.get(ro);
  }

  all(): HeldRecord[] {
    return [...this.held.values()];
  }

  /** `refused` is kept in the same stroke: what leaves the queue is never told to nobody. Resolves once it is kept, or cannot be. */
  hold(held: HeldRecord, refused: readonly NotTaken[] = []): Promise<void> {
    this.held.set(held.state.ro, held);
    this.notTaken = [...this.notTaken, ...refused];
    const kept = this.kept(this.keep.putRecord(held.state, refused));
    this.changed();
    return kept;
  }

  /** The same with another state. */
  turn(state: RecordState, refused: readonly NotTaken[] = []): Promise<void> {
    const held = this.held.get(state.ro);
    return this.hold(held ? { ...held, state } : this.shown(state), refused);
  }

  /** Its sheet as the rules have it; the state is kept already. */
  show(held: HeldRecord): void {
    this.held.set(held.state.ro, held);
  }

  forget(ro: string, refused: readonly NotTaken[]): void {
    this.held.delete(ro);
    this.notTaken = [...this.notTaken, ...refused];
    void this.kept(this.keep.dropRecord(ro, refused));
    this.changed();
  }

  tell(one: NotTaken): void {
    this.notTaken = [...this.notTaken, one];
    void this.kept(this.keep.putNotTaken(one));
    this.changed();
  }

  /** Somebody has read why something was not taken. */
  read(one: NotTaken): void {
    this.notTaken = this.notTaken.filter(({ id }) => id !== one.id);
    void this.kept(this.keep.dropNotTaken(one.id));
    this.changed();
  }

  putPhoto(hash: string, blob: Blob): void {
    this.photos.set(hash, blob);
    void this.kept(this.keep.putPhoto(hash, blob));
  }

  dropPhoto(hash: string): void {
    this.photos.delete(hash);
    void this.kept(this.keep.dropPhoto(hash));
  }

  /** What lets a car go is never sent from what was kept, wherever it came from. */
  private sift(state: RecordState): void {
    const stray = state.queue.filter(({ type }) => SERVER_ONLY.includes(type));
    if (stray.length === 0) return;
    const refused = stray.map(({ id }) => ({ id, says: [NOT_FROM_A_QUEUE] }));
    const queue = state.queue.filter((command) => !stray.includes(command));
    void this.turn({ ...state, queue }, notTakenOf(state.ro, stray, refused));
  }

  private kept(done: Promise<void>): Promise<void> {
    return done.catch(() => {
      this.keepFails = true;
      this.changed();
    });
  }

  private shown(state: RecordState): HeldRecord {
    return { state, sheet: sheetOf(fold(state.events), this.rulebook) };
  }
}

export const NOT_FROM_A_QUEUE =
  'What lets a car go is said only with the server in reach, never from what was kept on a tablet: say it again.';
