/** One thing to do, with what the surroundings must be like meanwhile. */
export interface SequenceStep {
  readonly id: string;
  /** hands-on or waiting time of the step itself; the order does not change it */
  readonly minutes: number;
  /** required set-up per dimension; a dimension left out is "as it stands" */
  readonly setup: Readonly<Record<string, string>>;
  /** dimensions the step itself changes, free of charge (a drive leaves the engine warm) */
  readonly becomes?: Readonly<Record<string, string>>;
}

export interface ChangeModel {
  /** minutes from one value of a dimension to another, `minutes[from][to]`; a pair not listed costs `otherwise` */
  readonly dimensions: Readonly<
    Record<
      string,
      { readonly minutes: Readonly<Record<string, Readonly<Record<string, number>>>>; readonly otherwise: number }
    >
  >;
  /** combinations of values that cannot hold together while a step is done, e.g. {place: 'road', supply: 'charger'} */
  readonly forbidden: readonly Readonly<Record<string, string>>[];
}

export interface SequenceProblem {
  readonly steps: readonly SequenceStep[];
  /** pairs of step ids: the first stands before the second */
  readonly before: readonly (readonly [string, string])[];
  /** the value of every dimension when work begins */
  readonly start: Readonly<Record<string, string>>;
  readonly changes: ChangeModel;
}

export interface SequenceResult {
  readonly order: readonly string[];
  /** the set-up in force while each step is done, every dimension named */
  readonly setups: readonly Readonly<Record<string, string>>[];
  readonly changeMinutes: number;
  /** how many times a dimension is changed from one value to another */
  readonly changes: number;
  readonly workMinutes: number;
  readonly totalMinutes: number;
  /** no order costs less change-over time, and none with the same time has fewer changes */
  readonly proved: boolean;
  /** 0 when proved; else (found - bound) / found, in minutes of change-over */
  readonly gap: number;
}

/** Counted in expanded search labels, never in clock time: the same call gives the same answer on any machine. */
export interface Budget {
  readonly expansions?: number;
}
