import fc from 'fast-check';
import type { SequenceProblem } from '../src/sequence/sequence.ts';

const names = ['aim', 'bleed', 'charge', 'drive', 'erase', 'fill', 'grease', 'heat'];
const values = ['low', 'mid', 'top'];

/** Small problems of every kind: any costs (asymmetric, with detours cheaper than the straight way), forbidden pairs, becomes. */
export function problems(most: number): fc.Arbitrary<SequenceProblem> {
  return fc.integer({ min: 1, max: 3 }).chain((count) => {
    const dimensions = ['p', 'q', 'r'].slice(0, count);
    const value = fc.constantFrom(...values);
    const some = (freq: number) =>
      fc.tuple(...dimensions.map(() => fc.option(value, { freq }))).map((picked) => {
        const pairs = picked.flatMap((each, at) => (each === null ? [] : [[dimensions[at]!, each] as const]));
        return Object.fromEntries(pairs) as Record<string, string>;
      });
    // Few values, far apart: so ties are common, and so are detours cheaper than the straight way.
    const minutes = fc.constantFrom(0, 1, 2, 9);
    const row = fc.oneof(fc.dictionary(value, minutes), fc.record({ low: minutes, mid: minutes, top: minutes }));
    const table = fc.record({
      minutes: fc.oneof(fc.dictionary(value, row), fc.record({ low: row, mid: row, top: row })),
      otherwise: fc.constantFrom(1, 4),
    });
    const step = fc.record({
      minutes: fc.integer({ min: 0, max: 60 }),
      setup: some(2),
      becomes: fc.option(some(2), { freq: 2 }),
    });
    return fc
      .record({
        steps: fc
          .array(step, { minLength: 1, maxLength: most })
          .chain((steps) =>
            fc
              .shuffledSubarray(names, { minLength: steps.length, maxLength: steps.length })
              .map((ids) =>
                steps.map(({ becomes, ...rest }, at) => ({ id: ids[at]!, ...rest, ...(becomes ? { becomes } : {}) })),
              ),
          ),
        links: fc.array(fc.tuple(fc.nat(most - 1), fc.nat(most - 1)), { maxLength: 6 }),
        start: fc.tuple(...dimensions.map(() => value)),
        tables: fc.tuple(...dimensions.map(() => table)),
        forbidden: fc.array(
          some(4).filter((pairs) => Object.keys(pairs).length > 1),
          { maxLength: count > 1 ? 2 : 0 },
        ),
      })
      .map(({ steps, links, start, tables, forbidden }) => ({
        steps,
        before: links
          .filter(([first, second]) => first < second && second < steps.length)
          .map(([first, second]) => [steps[first]!.id, steps[second]!.id] as const),
        start: Object.fromEntries(dimensions.map((d, at) => [d, start[at]!])),
        changes: { dimensions: Object.fromEntries(dimensions.map((d, at) => [d, tables[at]!])), forbidden },
      }));
  });
}
