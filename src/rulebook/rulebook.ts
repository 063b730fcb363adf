import type { MakerBook, Mandates } from '../vehicle/schema.ts';
import type { CodeBook } from './code-book.ts';
import type { Condition } from './condition.ts';
import type { Domain } from './domain.ts';
import type { Did, Duration, FollowUpFile, Level, Phase, Scope, WorkMatch } from './schema.ts';
import type { ComplaintsFile, PartRow, SetupsFile, SourceRow, StateRow, TraitRow, WordsFile } from './tables.ts';

/** The rulebook as the resolver reads it: conditions are tables, references are indexed by part, code and state. */
export interface Rulebook {
  /** Changes with any byte of any file; pinned by a job. */
  readonly version: string;
  /** In order of id. */
  readonly followUps: ReadonlyMap<string, FollowUp>;
  readonly parts: ReadonlyMap<string, Part>;
  readonly traits: ReadonlyMap<string, TraitRow>;
  readonly domains: ReadonlyMap<string, Domain>;
  readonly states: ReadonlyMap<string, State>;
  readonly setups: SetupsFile;
  readonly sources: ReadonlyMap<string, SourceRow>;
  /** Known makers (id to display name); empty where makers.json is absent. */
  readonly makers: ReadonlyMap<string, string>;
  readonly makerBook?: MakerBook;
  readonly mandates?: Mandates;
  /** By which lines of a repair order are read. */
  readonly words?: WordsFile;
  /** What codes mean; absent where codes.json is. */
  readonly codeBook?: CodeBook;
  /** How complaints are read; absent where complaints.json is. */
  readonly complaints?: ComplaintsFile;
  readonly callsByPart: ReadonlyMap<string, readonly Call[]>;
  readonly callsByCode: ReadonlyMap<string, readonly Call[]>;
}

/** All of these must hold; empty = always. */
export type Applies = readonly Condition[];

/** One way in to a follow-up: a trigger, and the work match or the code of it that was hit. */
export interface Call {
  readonly followUp: FollowUp;
  readonly trigger: Trigger;
  readonly match?: WorkMatch;
  readonly code?: string;
}

export interface Trigger {
  /** Place in the file; -1 for the line that is the step itself (`done-by`). */
  readonly index: number;
  readonly work: readonly WorkMatch[];
  readonly codes: readonly string[];
  readonly applies: Applies;
  readonly scope?: Scope;
  /** 4 model and years, 3 model, 2 maker and years, 1 maker, 0 general. */
  readonly rank: number;
  readonly level: Level;
  readonly because: string;
  readonly sources: readonly string[];
}

export interface Need {
  readonly state: string;
  readonly applies: Applies;
  readonly within?: Duration;
  readonly because?: string;
  readonly sources: readonly string[];
  /** Set where the file does not say it: the state guards a set-up of the step. */
  readonly guard?: boolean;
}
export interface Leave {
  readonly state: string;
  readonly applies: Applies;
  readonly later?: Duration;
}
export interface Upset {
  readonly state: string;
  readonly applies: Applies;
  readonly because?: string;
}
export interface StepWork {
  readonly part: string;
  readonly did: Did;
  readonly at?: readonly string[];
  readonly applies: Applies;
}
export interface After {
  readonly step: string;
  readonly applies: Applies;
  readonly because: string;
  readonly sources: readonly string[];
}
export interface Cover {
  readonly step: string;
  readonly applies: Applies;
}

type WayFile = FollowUpFile['ways'][number];
export interface Way {
  readonly id: string;
  readonly text: WayFile;
  readonly applies: Applies;
  readonly tool: string;
  /** Asked for, the drive's share included. */
  readonly setup: Readonly<Record<string, string>>;
  readonly becomes: Readonly<Record<string, string>>;
  readonly needs: readonly Need[];
  readonly upsets: readonly Upset[];
  readonly does: readonly StepWork[];
  readonly finish: 'shop' | 'owner';
}

export interface FollowUp {
  readonly id: string;
  /** Folder it stands in. */
  readonly system: string;
  readonly file: string;
  readonly text: FollowUpFile;
  readonly title: string;
  readonly safety: boolean;
  readonly phase: Phase;
  readonly fits: Condition;
  /** Those of the file, then one for each `done-by` line. */
  readonly triggers: readonly Trigger[];
  readonly needs: readonly Need[];
  readonly leaves: readonly Leave[];
  readonly upsets: readonly Upset[];
  readonly does: readonly StepWork[];
  readonly after: readonly After[];
  readonly covers: readonly Cover[];
  readonly ways: readonly Way[];
  readonly repeatable: boolean;
  readonly stands: 'first' | 'last' | null;
  readonly positions: readonly string[];
}

export interface Part {
  readonly id: string;
  readonly text: PartRow;
  readonly implies: readonly Implied[];
}
export interface Implied {
  readonly when: Did;
  readonly part: string;
  readonly did: Did;
  readonly at?: 'same' | readonly string[];
  readonly applies: Applies;
  readonly maybe: boolean;
  readonly because: string;
  readonly sources: readonly string[];
}

export interface State {
  readonly id: string;
  readonly title: string;
  readonly start: 'holds' | 'absent' | 'confirm';
  readonly delivery: 'must' | 'free' | 'must-not';
  readonly lapses: NonNullable<StateRow['lapses']>;
  readonly guards: readonly Readonly<Record<string, string>>[];
  readonly question?: string;
  /** In order of follow-up id; ways' needs and upsets count for their follow-up. */
  readonly leavers: readonly FollowUp[];
  readonly needers: readonly FollowUp[];
  readonly upsetters: readonly FollowUp[];
}

/** Each did with the weaker ones it stands for: a trigger naming the weaker fires on the stronger. */
const LADDER: Partial<Record<Did, readonly Did[]>> = {
  replaced: ['replaced', 'refitted', 'unplugged'],
  refitted: ['refitted', 'unplugged'],
};

/** Whether work `did` is at least what a rule `asks`. */
export function reaches(did: Did, asks: Did, exactly = false): boolean {
  return did === asks || (!exactly && (LADDER[did]?.includes(asks) ?? false));
}

/** In a work match, stands for whatever part was worked on. */
export const ANY_PART = 'any';
