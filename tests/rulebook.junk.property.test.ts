import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checklist } from '../src/checklist.ts';
import { compileCondition } from '../src/rulebook/condition.ts';
import type { Domain } from '../src/rulebook/domain.ts';
import { type Fault, printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { readFacts } from '../src/resolve/facts.ts';
import { jobs, jobText } from './resolve.jobs.ts';
import { books, conditions, filesOf, type Json, load } from './resolve.rulebooks.ts';
import { LONG, RUNS } from './resolve.runs.ts';

describe('junk', () => {
  const keys = fc.constantFrom(
    '__proto__',
    'constructor',
    'prototype',
    'toString',
    'valueOf',
    'toJSON',
    'length',
    'var',
    'and',
    '!',
    '==',
    'in',
    'part',
    'did',
    'at',
    'if',
    'work',
    'traits',
    'vehicle',
    'answers',
    'ro',
    'constructor:x',
    'at:0',
    'at:9>',
    'did:',
    'wait:f0',
    'then',
    '',
  );
  /** As parsed: keys that reach into prototypes are own keys here. */
  const junk = fc.letrec<{ any: unknown; leaf: unknown }>((tie) => ({
    leaf: fc.oneof(
      fc.constant(null),
      fc.boolean(),
      fc.double(),
      fc.string({ maxLength: 8 }),
      keys,
      fc.constantFrom(Number.POSITIVE_INFINITY, -1, 1e21, '9'.repeat(300)),
    ),
    any: fc.oneof(
      { depthSize: 'small', withCrossShrink: true },
      tie('leaf'),
      fc.array(tie('any'), { maxLength: 4 }),
      fc.array(fc.tuple(fc.oneof(keys, fc.string({ maxLength: 5 })), tie('any')), { maxLength: 4 }).map(fromPairs),
    ),
  })).any;
  function fromPairs(pairs: readonly (readonly [string, unknown])[]): unknown {
    const object = {};
    for (const [key, value] of pairs)
      Object.defineProperty(object, key, { value, enumerable: true, configurable: true, writable: true });
    return object;
  }
  const domains = new Map<string, Domain>([
    ['camera', { kind: 'values', values: ['none', 'fitted'] }],
    ['gears', { kind: 'number', integer: true, min: 0, max: 9 }],
  ]);
  const sound = (faults: readonly Fault[]) => {
    for (const fault of faults) expect(printFault(fault).length).toBeGreaterThan(0);
  };

  /** `whole` with the value at one random place replaced. */
  function spoil(whole: unknown, path: readonly number[], by: unknown): unknown {
    if (path.length === 0 || typeof whole !== 'object' || whole === null) return by;
    const names = Object.keys(whole);
    const name = names[(path[0] as number) % Math.max(1, names.length)];
    if (name === undefined) return by;
    const inner = spoil((whole as Json)[name], path.slice(1), by);
    return Array.isArray(whole) ? whole.map((v, i) => (String(i) === name ? inner : v)) : { ...whole, [name]: inner };
  }
  const path = fc.array(fc.nat(40), { minLength: 1, maxLength: 7 });

  test(
    'as a condition gives faults or a table',
    () => {
      fc.assert(
        fc.property(
          fc.oneof(
            junk,
            fc.tuple(conditions(['camera', 'gears'], 2), path, junk).map(([text, at, by]) => spoil(text, at, by)),
          ),
          (text) => {
            const faults: Fault[] = [];
            const condition = compileCondition(text, domains, 'test', '', faults);
            expect(condition === undefined).toBe(faults.length > 0);
            sound(faults);
          },
        ),
        { numRuns: RUNS * 10 },
      );
    },
    LONG,
  );

  test(
    'in a rulebook gives faults, or a rulebook that plans',
    () => {
      fc.assert(
        fc.property(books(true, 3), path, junk, fc.nat(7), jobs(true), (book, at, by, which, job) => {
          const files = [...filesOf(book)];
          const [file, text] = files[which % files.length] as [string, string];
          const spoilt = new Map([...files, [file, JSON.stringify(spoil(JSON.parse(text), at, by))]]);
          const { rulebook, faults } = loadRulebook(spoilt);
          sound(faults);
          if (faults.length > 0) return;
          const { facts } = readFacts(jobText({ ...job, answers: {} }), rulebook);
          if (facts) checklist(facts, rulebook, { all: true });
        }),
        { numRuns: RUNS * 2 },
      );
      fc.assert(
        fc.property(
          fc.array(
            fc.tuple(
              fc.constantFrom(
                'traits.json',
                'parts.json',
                'states.json',
                'setups.json',
                'sources.json',
                'makers.json',
                'mandates.json',
                'codes.json',
                'x/f.json',
                'f.json',
              ),
              fc.oneof(
                fc.string(),
                junk.map((v) => JSON.stringify(v) ?? ''),
              ),
            ),
          ),
          (files) => sound(loadRulebook(new Map(files)).faults),
        ),
        { numRuns: RUNS * 3 },
      );
    },
    LONG,
  );

  test(
    'as a job gives faults, or a job that plans',
    () => {
      const rulebook = load({
        traits: {},
        states: {},
        parts: { box: { title: 'box', system: 'test', at: ['left', 'right'] } },
        rules: {},
      });
      const job = fc.oneof(
        junk,
        fc
          .tuple(jobs(true), path, junk)
          .map(([text, at, by]) => spoil(jobText({ ...text, answers: { 'at:0': 'left' } }), at, by)),
        fc.tuple(keys, junk).map(([key, value]) => ({
          ro: '1',
          work: [{ part: 'box', did: 'replaced' }],
          answers: fromPairs([[key, value]]),
        })),
      );
      fc.assert(
        fc.property(job, (text) => {
          const { facts, faults } = readFacts(text, rulebook);
          expect(facts === undefined).toBe(faults.length > 0);
          sound(faults);
          if (facts) checklist(facts, rulebook, { all: true });
        }),
        { numRuns: RUNS * 5 },
      );
    },
    LONG,
  );
});
