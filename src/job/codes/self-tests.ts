import type { Rulebook } from '../../rulebook/rulebook.ts';
import {
  clearedLately,
  type ClearedLately,
  notReadyYet,
  type NotReadyYet,
  type ResetCause,
} from '../../scan/cleared.ts';
import type { Readiness } from '../../scan/readiness.ts';
import { type StationFacts, type StationVerdict, stationVerdict } from '../../scan/station.ts';
import type { Market } from '../../vehicle/schema.ts';
import { factsOf } from '../facts.ts';
import type { Sight } from '../sight.ts';
import type { ReadinessRead } from '../state.ts';
import { clearingDoubts, lastCleared } from './cleared.ts';
import { codeBookOf } from './compared.ts';
import { readinessTold } from './reading.ts';

/** What the leaf of codes tells of the self-tests. */
export interface SelfTests {
  readonly before: ReadinessRead | undefined;
  readonly after: ReadinessRead | undefined;
  /** The later reading, as it is judged; undefined where nobody read. */
  readonly readiness: Readiness | undefined;
  /** By place and model year; undefined where nobody read. */
  readonly verdict: StationVerdict | undefined;
  readonly open: NotReadyYet;
  readonly cleared: ClearedLately | undefined;
  /** Where the car and the record do not agree on when codes were cleared. */
  readonly disagree: readonly string[];
}

/** Null where the car has no such self-tests: no engine, or none that reports them. */
export function selfTestsOf(sight: Sight, rulebook: Rulebook, station?: StationFacts): SelfTests | null {
  const { before, after } = sight.job.readiness;
  const car = factsOf(sight.job, rulebook).car;
  const without = (['engine', 'obd2'] as const).some((trait) => isNone(car.get(trait)?.values));
  if (without && !before && !after) return null;
  const was = before && readinessTold(before);
  const now = after && readinessTold(after);
  const readiness = now ?? was;
  return {
    before,
    after,
    readiness,
    verdict: readiness && stationVerdict(readiness, station ?? stationOf(sight, rulebook)),
    open: notReadyYet(resetCause(sight, rulebook), codeBookOf(rulebook), { before: was, after: now }),
    cleared: readiness && clearedLately(readiness.counters, sight.job.units),
    disagree: [before, after].flatMap((read) =>
      read
        ? clearingDoubts(read, lastCleared(sight, rulebook), {
            supplyLost: read === after && supplyLost(sight),
            units: sight.job.units,
          })
        : [],
    ),
  };
}

/** One sentence for the customer's page; empty where no self-test is open, or none is known to be. */
export function selfTestsLine(sight: Sight, rulebook: Rulebook): string {
  return selfTestsOf(sight, rulebook)?.open.customer ?? '';
}

/** Where and when the car is judged, as far as it is written up; the market stands for the place of the test. */
export function stationOf(sight: Sight, rulebook: Rulebook): StationFacts {
  const { car } = factsOf(sight.job, rulebook);
  const year = only(car.get('model-year')?.values);
  const fuel = only(car.get('engine')?.values);
  return {
    units: sight.job.units,
    place:
      (sight.job.vehicle.market as Market | undefined) ??
      (only(car.get('market')?.values) as Market | undefined) ??
      null,
    modelYear: typeof year === 'number' ? year : null,
    fuel: fuel === 'petrol' || fuel === 'diesel' ? fuel : undefined,
  };
}

/** What of this job made them start again: codes that were cleared, else a supply that was lost. */
export function resetCause(sight: Sight, rulebook: Rulebook): ResetCause {
  if (lastCleared(sight, rulebook)) return 'cleared';
  return supplyLost(sight) ? 'power-lost' : 'open';
}

function supplyLost({ sheet, checklist, job }: Sight): boolean {
  const work = [...sheet.file.work, ...checklist.implied.filter(({ maybe }) => !maybe)];
  return job.workDone !== undefined && work.some(({ did }) => did === 'power-lost');
}

function only<T>(values: readonly T[] | undefined): T | undefined {
  return values?.length === 1 ? values[0] : undefined;
}

function isNone(values: readonly unknown[] | undefined): boolean {
  return values?.length === 1 && values[0] === 'none';
}
