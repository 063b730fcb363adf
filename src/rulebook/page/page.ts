/** What the rulebook says of one thing, as plain data: screen, paper and command line write the same. */
export interface Page {
  readonly of: PageOf;
  readonly id: string;
  readonly title: string;
  /** Other names it goes by. */
  readonly aka: readonly string[];
  /** What it is, in a few words: "calibration, after assembly". */
  readonly kind: string;
  readonly system: string;
  readonly safety: boolean;
  readonly purpose: string;
  readonly sections: readonly Section[];
  readonly sources: readonly Source[];
}

export type PageOf = 'follow-up' | 'part' | 'source';

export interface Section {
  readonly id: string;
  readonly heading: string;
  readonly entries: readonly Entry[];
}

export interface Entry {
  /** Said first, and stronger: "Required", "Caution". */
  readonly label?: string;
  /** A sentence or two; may be empty where label and links say it all. */
  readonly text: string;
  readonly links?: readonly Link[];
  /** What it rests on: "2", "2, from memory", "common practice". */
  readonly basis?: readonly string[];
  readonly under?: readonly Entry[];
  /** What is under it is done in this order. */
  readonly ordered?: boolean;
}

export interface Link {
  readonly of: PageOf;
  readonly id: string;
  readonly title: string;
}

/** One row of the list that the numbers in `basis` point to. */
export interface Source {
  readonly number: number;
  readonly id: string;
  readonly title: string;
  /** Section, as the follow-up names it. */
  readonly where: string;
  /** "read 2026-11-25", "from memory", "common practice" */
  readonly basis: string;
  readonly note: string;
}

/** A section with nothing in it is left out. */
export function sections(
  ...all: readonly (readonly [id: string, heading: string, entries: readonly Entry[]])[]
): Section[] {
  return all.flatMap(([id, heading, entries]) => (entries.length > 0 ? [{ id, heading, entries }] : []));
}
