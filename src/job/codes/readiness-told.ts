import { z } from 'zod';
import { CONTINUOUS, MONITOR_IDS } from '../../scan/monitors.ts';
import { type Readiness, readinessOf } from '../../scan/readiness.ts';
import { Code, Word } from '../values.ts';

const count = z.int().min(0).max(65_535).optional();

/** A reading of the self-tests as the record keeps it: what the car said, module by module, not the text it came in. */
export const ReadinessTold = z.strictObject({
  modules: z
    .array(
      z.strictObject({
        module: Word.nullable().describe('address, null where replies came without headers'),
        mil: z.boolean().describe('warning lamp commanded on'),
        count: z.int().min(0).max(127).describe('confirmed emission codes'),
        ignition: z.enum(['spark', 'compression']),
        monitors: z
          .array(z.strictObject({ id: z.enum(MONITOR_IDS), complete: z.boolean() }))
          .max(MONITOR_IDS.length)
          .describe('those that the module has'),
      }),
    )
    .min(1)
    .max(20),
  counters: z
    .strictObject({ warmUps: count, km: count, minutes: count, kmWithLamp: count, minutesWithLamp: count })
    .optional()
    .describe('since codes were cleared, or since the lamp came on'),
  permanent: z.array(Code).max(100).nullable().describe('codes kept as permanent; null = nobody asked for them'),
  doubts: z.array(Word).max(20).describe("the program's own words"),
  unread: z.int().min(0).max(1000).describe('lines that said something and could not be read'),
});
export type ReadinessTold = z.infer<typeof ReadinessTold>;

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
