import type { FUELS, LawConditions, Market, PROPULSIONS, VehicleClass } from './schema.ts';
import { atMost, type Weight } from './weight.ts';

/** A fact, a list of what is still possible, or null and undefined: not known. */
type Maybe<T> = T | readonly T[] | null | undefined;

/** What is known about the vehicle whose law is asked. Dates are written 2011-09-01. */
export interface LawFacts {
  readonly market?: Market | null | undefined;
  readonly modelYear?: Maybe<number>;
  /** Day of manufacture. */
  readonly builtDate?: string | null | undefined;
  /** Day of first registration. */
  readonly registeredDate?: string | null | undefined;
  readonly typeApprovedDate?: string | null | undefined;
  readonly class?: Maybe<VehicleClass>;
  /** Highest permitted laden weight (GVWR, technically permissible maximum mass). */
  readonly gvwrKg?: Weight | null | undefined;
  readonly unloadedKg?: Weight | null | undefined;
  readonly seats?: Maybe<number>;
  readonly fuel?: Maybe<(typeof FUELS)[number]>;
  readonly propulsion?: Maybe<(typeof PROPULSIONS)[number]>;
  readonly dualRearWheels?: boolean | null | undefined;
  /** Built in two or more stages, or altered by another before its first sale. */
  readonly multiStage?: boolean | null | undefined;
  /** From a maker of small numbers. */
  readonly smallVolume?: boolean | null | undefined;
  readonly hydraulicSteering?: boolean | null | undefined;
  readonly kei?: boolean | null | undefined;
  readonly imported?: boolean | null | undefined;
}

export type Missing = keyof LawFacts;

/** Of one condition: it holds, it fails, or undefined with the facts that would tell. */
export interface Verdict {
  readonly holds: boolean | undefined;
  readonly missing: readonly Missing[];
}

const FLAGS = ['dualRearWheels', 'multiStage', 'smallVolume', 'hydraulicSteering', 'kei', 'imported'] as const;

/** One verdict for each condition of the row. */
export function conditionHolds(when: LawConditions, facts: LawFacts): Verdict[] {
  const verdicts: Verdict[] = [];
  const add = (fact: Missing, holds: boolean | undefined) =>
    verdicts.push({ holds, missing: holds === undefined ? [fact] : [] });
  for (const fact of ['class', 'fuel', 'propulsion'] as const) {
    const allowed: readonly string[] | undefined = when[fact];
    if (allowed)
      add(
        fact,
        every<string>(facts[fact], (value) => allowed.includes(value)),
      );
  }
  for (const fact of ['gvwrKg', 'unloadedKg'] as const) {
    const limit = when[fact];
    if (limit) add(fact, atMost(facts[fact], limit.max));
  }
  const { seats } = when;
  if (seats)
    add(
      'seats',
      every(facts.seats, (value) => value <= seats.max),
    );
  for (const fact of FLAGS) {
    const wanted = when[fact];
    if (wanted !== undefined)
      add(
        fact,
        every(facts[fact], (value) => value === wanted),
      );
  }
  return verdicts;
}

/** True or false only if all values still possible agree. */
export function every<T>(fact: Maybe<T>, test: (value: T) => boolean): boolean | undefined {
  if (fact === null || fact === undefined) return undefined;
  const answers = (Array.isArray(fact) ? (fact as readonly T[]) : [fact as T]).map(test);
  if (answers.length === 0) return undefined;
  if (answers.every(Boolean)) return true;
  return answers.some(Boolean) ? undefined : false;
}
