import { z } from 'zod';
import { MONITOR_IDS } from '../../scan/monitors.ts';
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
