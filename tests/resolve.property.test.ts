import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { resolve } from '../src/resolve/resolve.ts';
import { checklist } from '../src/checklist.ts';
import { type Edge, type Node } from '../src/resolve/precedence.ts';
import { order, rings, shortestRing } from '../src/resolve/order.ts';
import type { Verdict } from '../src/resolve/result.ts';
import { type Condition, compileCondition, holds, range, SURELY, NEVER } from '../src/rulebook/condition.ts';
import type { Fault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { readFacts } from '../src/resolve/facts.ts';
import { book, on, orderOf, planned, resolved, verdicts } from './small-rulebook.ts';
import { bruteForce } from './resolve.oracle.ts';
import { type Book, books, type Car, cars, conditions, factsOf, filesOf, type Job, jobs, jobText, type Json, load, NUMBERS, possible, VALUES, WORDS } from './resolve.rulebooks.ts';

/** Fewer while writing, more for a hunt: RUNS=5000 npx vitest run tests/resolve.property.test.ts */
const RUNS = Number(process.env.RUNS ?? 300);
const LONG = Math.max(60_000, RUNS * 60);

describe('verdicts from work and codes', () => {
  test('are those of every completion tried one by one', () => {
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
          expect({ id, ...got }).toEqual({ id, ...(expected.kind === 'excluded' ? { kind: 'excluded', level: got.level } : expected) });
          if (got.kind === 'undecided') expect(verdict?.decides).not.toEqual([]);
        }
      }),
      { numRuns: RUNS },
    );
    expect([judged > 300, kinds.size]).toEqual([true, 3]);
  });
});

const settledKinds = (verdicts: ReadonlyMap<string, Verdict>, book: Book) => Object.keys(book.rules).map((id) => [id, verdicts.get(id)?.kind ?? 'excluded'] as const).filter(([, kind]) => kind !== 'undecided');

/** The job with another car that the seen facts allow, told as far as `seen` says. */
function retold(job: Job, car: Car, seen: (name: string) => Job['seen'][string]): Job {
  const truth = Object.fromEntries(Object.keys(job.car).map((name) => {
    const left = possible(job, name);
    const value = car[name] as string | number;
    return [name, left && !left.includes(value) ? (job.car[name] as string | number) : value];
  }));
  return { ...job, car: truth, seen: Object.fromEntries(Object.keys(truth).map((name) => [name, seen(name)])) };
}

describe('verdicts with work of steps, pulls and covers', () => {
  test('a settled verdict is the same on every car that is still possible', () => {
    fc.assert(
      fc.property(books(true), jobs(true), fc.array(cars, { minLength: 4, maxLength: 4 }), (book, job, others) => {
        const rulebook = load(book);
        const settled = settledKinds(resolve(factsOf(job, rulebook), rulebook).verdicts, book);
        for (const car of others) {
          const after = resolve(factsOf(retold(job, car, () => 'yes'), rulebook), rulebook).verdicts;
          for (const [id, kind] of settled) expect([id, after.get(id)?.kind ?? 'excluded', car]).toEqual([id, kind, car]);
        }
      }),
      { numRuns: RUNS },
    );
  });

  test('one more known trait never flips a settled verdict', () => {
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
  });
});

describe('found by trying', () => {
  const both = ['none', 'fitted'];
  const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });

  test('a step that needs an absent state twice, once perhaps, comes to an end', () => {
    const rules = {
      make: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }, { state: 's', if: is('eps', 'fitted') }] },
    };
    expect(verdicts(book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } }), { work: ['box replaced'] })).toEqual({ make: 'needed', use: 'needed' });
  });

  test('a leaver that the work only perhaps calls for is no sure leaver where an earlier phase has one', () => {
    const rules = {
      early: { phase: 'apart', leaves: [{ state: 's' }] },
      late: { triggers: [{ ...on('box replaced'), if: is('eps', 'fitted') }], leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ early: 'undecided', late: 'undecided', use: 'needed' });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('early')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({ early: 'needed', use: 'needed' });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({ late: 'needed', use: 'needed' });
  });

  test('a later leaver may still be pulled while it is open whether the earlier one fits', () => {
    const rules = {
      early: { phase: 'apart', fits: is('eps', 'fitted'), leaves: [{ state: 's' }] },
      late: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ early: 'undecided', late: 'undecided', use: 'needed' });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({ late: 'needed', use: 'needed' });
  });

  test('what a second way does is only perhaps done while the first may fit', () => {
    const rules = {
      step: { triggers: [on('box replaced')], ways: [{ id: 'a', if: is('eps', 'fitted') }, { id: 'b', does: [{ part: 'cell', did: 'refitted' }] }] },
      after: { triggers: [on('cell refitted')] },
    };
    const rulebook = book({ rules, traits: { eps: both } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ after: 'undecided', step: 'needed' });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('after')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({ step: 'needed' });
  });

  test('a way that is only perhaps possible is not sure because no other has its tool here', () => {
    const rules = {
      step: { triggers: [on('box replaced')], ways: [{ id: 'a', if: is('eps', 'fitted'), tool: 'scan-tool', needs: [{ state: 's' }] }, { id: 'b', tool: 'target-stand' }] },
      make: { leaves: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    const job = { work: ['box replaced'], tools: ['scan-tool'] };
    expect(verdicts(rulebook, job)).toEqual({ make: 'undecided', step: 'needed' });
    expect(verdicts(rulebook, { ...job, traits: { eps: 'none' } })).toEqual({ step: 'needed' });
  });

  test('two that cover each other do not both vanish', () => {
    const rules = { a: { triggers: [on('box replaced')], covers: ['b'] }, b: { triggers: [on('box replaced')], covers: ['a'] } };
    expect(orderOf(book({ rules }), { work: ['box replaced'] })).toEqual(['a']);
  });

  test('only an upsetter that upsets the state on this car is pulled to undo it', () => {
    const rules = {
      open: { triggers: [on('pads replaced')], leaves: [{ state: 's' }] },
      close: { upsets: [{ state: 's', if: is('eps', 'fitted') }], leaves: [{ state: 'closed' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { delivery: 'must-not' } } });
    expect(verdicts(rulebook, { work: ['pads replaced'] })).toEqual({ close: 'undecided', open: 'needed' });
    expect(verdicts(rulebook, { work: ['pads replaced'], traits: { eps: 'none' } })).toEqual({ open: 'needed' });
  });

  const parts = {
    arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', because: 'test' }] },
    hub: { at: ['left', 'right'], implies: [{ when: 'refitted', part: 'link', did: 'refitted', at: 'same', because: 'test' }] },
    link: { at: ['left', 'right', 'middle'] },
  };

  test('"where?" can be answered for work that follows from a line', () => {
    const rulebook = book({ parts, rules: { set: { triggers: [on('hub refitted left')] } } });
    const asked = planned(rulebook, { work: ['arm replaced'] }).questions[0];
    expect([asked?.id, asked?.answers.map((a) => a.value)]).toEqual(['at:0>hub/refitted/0', ['left', 'right']]);
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'left' } })).toEqual({ set: 'needed' });
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'right' } })).toEqual({});
    expect(readFacts({ ro: '1', work: [{ part: 'arm', did: 'replaced' }], answers: { 'at:0>hub/refitted/0': 'top' } }, rulebook).faults.map((f) => f.message)).toEqual(['unknown position']);
  });

  test('work at the same place as its line can only be where the line can be', () => {
    const rulebook = book({ parts, rules: { set: { triggers: [on('link refitted left,right')] } } });
    expect(verdicts(rulebook, { work: ['hub refitted'] })).toEqual({ set: 'needed' });
  });

  test('what follows from a "maybe" that the order already says is not asked again', () => {
    const maybe = {
      arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', maybe: true, because: 'test' }] },
      hub: { implies: [{ when: 'refitted', part: 'link', did: 'refitted', because: 'test' }] },
    };
    const spare = { ...on('hub refitted'), level: 'not-needed', scope: { makers: ['alba'] } };
    const rulebook = book({ parts: maybe, rules: { set: { triggers: [on('link refitted'), spare] } } });
    expect(verdicts(rulebook, { work: ['arm replaced', 'hub refitted'], maker: 'alba' })).toEqual({});
  });
});
