import { CONTINUOUS } from '../../scan/monitors.ts';
import { type Readiness, readinessOf } from '../../scan/readiness.ts';
import type { ReadinessTold } from './readiness-told.ts';

// Apart from the shape itself: every page knows that, few read replies.

/** What the record takes of a reading; null where no module told anything. */
export function toldOf(readiness: Readiness): ReadinessTold | null {
  if (readiness.modules.length === 0) return null;
  const permanent = readiness.codes.filter(({ kept }) => kept.includes('permanent')).map(({ code }) => code);
  return {
    modules: readiness.modules.slice(0, 20).map(({ module, mil, count: codes, ignition, monitors }) => ({
      module,
      mil,
      count: codes,
      ignition,
      monitors: monitors.map(({ id, complete }) => ({ id, complete })),
    })),
    ...(Object.keys(readiness.counters).length > 0 ? { counters: readiness.counters } : {}),
    permanent: readiness.askedPermanent ? [...new Set(permanent)].slice(0, 100) : null,
    doubts: readiness.doubts.slice(0, 20).map((doubt) => doubt.slice(0, 200)),
    unread: Math.min(1000, readiness.faults.filter(({ kind }) => kind === 'broken').length),
  };
}

/** The reading as `scan` judges it. A line that could not be read stays one, so that nothing is called ready over it. */
export function readinessTold({ modules, counters, permanent, doubts, unread }: ReadinessTold): Readiness {
  const known = Object.entries(counters ?? {}).filter((entry): entry is [string, number] => entry[1] !== undefined);
  const fault = { line: 0, text: '', message: 'could not be read', kind: 'broken' as const };
  return readinessOf(
    modules.map((module) => ({
      ...module,
      monitors: module.monitors.map((m) => ({ ...m, continuous: (CONTINUOUS as readonly string[]).includes(m.id) })),
    })),
    {
      counters: Object.fromEntries(known),
      codes: (permanent ?? []).map((code) => ({ code, kept: ['permanent'] as const, module: null, status: null })),
      askedPermanent: permanent !== null,
      faults: Array.from({ length: unread }, () => fault),
      doubts,
    },
  );
}
