import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { kindsAfter, resolve } from '../src/resolve/resolve.ts';
import { answerWith, choicesOf, rankQuestions } from '../src/resolve/questions.ts';
import { checklist } from '../src/checklist.ts';
import { order } from '../src/resolve/order.ts';
import type { Verdict } from '../src/resolve/result.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { bruteForce } from './resolve.oracle.ts';
import { type Car, cars, factsOf, type Job, jobs, possible, VALUES } from './resolve.jobs.ts';
import { type Book, books, filesOf, type Json, load } from './resolve.rulebooks.ts';
import { LONG, RUNS } from './resolve.runs.ts';

describe('verdicts from work and codes', () => {
  test(
    'are those of every completion tried one by one',
    () => {
      let judged = 0;
      const kinds = new Set<string>();
      fc.assert(
        fc.property(books(false), jobs(false), (book, job) => {
          const rulebook = load(book);
          const { verdicts } = resolve(factsOf(job, rulebook), rulebook);
          for (const id of Object.keys(book.rules)) {
            const expected = bruteForce(book, id, job);
            if (!expected) continue;
            judged++;
            kinds.add(expected.kind);
            const verdict = verdicts.get(id);
            const got = { kind: verdict?.kind ?? 'excluded', level: verdict?.level ?? 'recommended' };
            expect({ id, ...got }).toEqual({
              id,
              ...(expected.kind === 'excluded' ? { kind: 'excluded', level: got.level } : expected),
            });
            if (got.kind === 'undecided') expect(verdict?.decides).not.toEqual([]);
          }
        }),
        { numRuns: RUNS },
      );
      expect([judged > RUNS, kinds.size]).toEqual([true, 3]);
    },
    LONG,
  );
});

const settledKinds = (verdicts: ReadonlyMap<string, Verdict>, book: Book) =>
  Object.keys(book.rules)
    .map((id) => [id, verdicts.get(id)?.kind ?? 'excluded'] as const)
    .filter(([, kind]) => kind !== 'undecided');

/** The job with another car that the seen facts allow, told as far as `seen` says. */
function retold(job: Job, car: Car, seen: (name: string) => Job['seen'][string]): Job {
  const truth = Object.fromEntries(
    Object.keys(job.car).map((name) => {
      const left = possible(job, name);
      const value = car[name] as string | number;
      return [name, left && !left.includes(value) ? (job.car[name] as string | number) : value];
    }),
  );
  return { ...job, car: truth, seen: Object.fromEntries(Object.keys(truth).map((name) => [name, seen(name)])) };
}

describe('verdicts with work of steps, pulls and covers', () => {
  test(
    'a settled verdict is the same on every car that is still possible',
    () => {
      fc.assert(
        fc.property(books(true), jobs(true), fc.array(cars, { minLength: 4, maxLength: 4 }), (book, job, others) => {
          const rulebook = load(book);
          const settled = settledKinds(resolve(factsOf(job, rulebook), rulebook).verdicts, book);
          for (const car of others) {
            const after = resolve(
              factsOf(
                retold(job, car, () => 'yes'),
                rulebook,
              ),
              rulebook,
            ).verdicts;
            for (const [id, kind] of settled)
              expect([id, after.get(id)?.kind ?? 'excluded', car]).toEqual([id, kind, car]);
          }
        }),
        { numRuns: RUNS },
      );
    },
    LONG,
  );

  test(
    'one more known trait never flips a settled verdict',
    () => {
      fc.assert(
        fc.property(books(true), jobs(true), fc.constantFrom(...Object.keys(VALUES)), (book, job, name) => {
          fc.pre(job.seen[name] !== 'yes');
          const rulebook = load(book);
          const settled = settledKinds(resolve(factsOf(job, rulebook), rulebook).verdicts, book);
          const after = resolve(factsOf({ ...job, seen: { ...job.seen, [name]: 'yes' } }, rulebook), rulebook).verdicts;
          for (const [id, kind] of settled) expect([id, after.get(id)?.kind ?? 'excluded']).toEqual([id, kind]);
        }),
        { numRuns: RUNS },
      );
    },
    LONG,
  );
});

describe('one more answer', () => {
  test(
    'tried on what was worked out before gives the verdicts of working out everything anew',
    () => {
      let tried = 0;
      fc.assert(
        fc.property(books(true), jobs(true), (book, job) => {
          const rulebook = load(book);
          const facts = factsOf(job, rulebook);
          const before = resolve(facts, rulebook);
          for (const { id, answered } of rankQuestions(before, order(before))) {
            if (answered !== undefined) continue;
            for (const value of choicesOf(before, id)) {
              const more = answerWith(facts, rulebook, id, value);
              const anew = resolve(more, rulebook).verdicts;
              const carried = kindsAfter(more, before, id);
              for (const follow of Object.keys(book.rules))
                expect([id, value, follow, carried.get(follow) ?? 'excluded']).toEqual([
                  id,
                  value,
                  follow,
                  anew.get(follow)?.kind ?? 'excluded',
                ]);
              tried++;
            }
          }
        }),
        { numRuns: RUNS },
      );
      expect(tried).toBeGreaterThan(RUNS);
    },
    LONG,
  );
});

describe('what must not matter', () => {
  const told = (book: Book, job: Job) => {
    const rulebook = load(book);
    const { verdicts } = resolve(factsOf(job, rulebook), rulebook);
    return Object.keys(book.rules).map((id) => {
      const { kind = 'excluded', level, safety, coveredBy, boxes } = verdicts.get(id) ?? {};
      return kind === 'excluded' ? [id, kind] : [id, kind, level, safety, coveredBy?.id, boxes];
    });
  };
  const backwards = (row: Json, key: string) => (Array.isArray(row[key]) ? { [key]: [...row[key]].reverse() } : {});

  test(
    'the order of triggers, of matches inside them, of needs and of work lines',
    () => {
      fc.assert(
        fc.property(books(true), jobs(true), (book, job) => {
          const rules = Object.entries(book.rules).map(([id, rule]) => {
            const triggers = (rule.triggers as Json[]).map((trigger) => ({
              ...trigger,
              ...backwards(trigger, 'work'),
            }));
            return [
              id,
              {
                ...rule,
                triggers: triggers.reverse(),
                ...backwards(rule, 'needs'),
                ...backwards(rule, 'upsets'),
                ...backwards(rule, 'does'),
                ...backwards(rule, 'leaves'),
              },
            ];
          });
          const parts = Object.entries(book.parts).map(([id, row]) => [id, { ...row, ...backwards(row, 'implies') }]);
          const turned = { ...book, rules: Object.fromEntries(rules), parts: Object.fromEntries(parts) };
          expect(told(turned, { ...job, work: [...job.work].reverse() })).toEqual(told(book, job));
        }),
        { numRuns: RUNS },
      );
    },
    LONG,
  );

  test(
    'the order in which files are read: same facts and rules, same bytes',
    () => {
      fc.assert(
        fc.property(books(true), jobs(true), (book, job) => {
          const files = [...filesOf(book)];
          const [first, again, turned] = [files, files, [...files].reverse()].map((list) => {
            const { rulebook } = loadRulebook(new Map(list));
            return JSON.stringify(checklist(factsOf(job, rulebook), rulebook, { all: true }));
          });
          expect(again).toBe(first);
          expect(turned).toBe(first);
        }),
        { numRuns: RUNS },
      );
    },
    LONG,
  );
});
