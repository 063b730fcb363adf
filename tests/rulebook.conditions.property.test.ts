import fc from 'fast-check';
import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { describe, expect, test } from 'vitest';
import { type Condition, compileCondition, EITHER, holds, NEVER, range, SURELY } from '../src/rulebook/condition.ts';
import type { Domain } from '../src/rulebook/domain.ts';
import type { Fault } from '../src/rulebook/fault.ts';
import { VALUES } from './resolve.jobs.ts';
import { conditions } from './resolve.rulebooks.ts';
import { LONG, RUNS } from './resolve.runs.ts';

describe('conditions', () => {
  const domains = new Map<string, Domain>([
    ['brake', { kind: 'values', values: ['none', 'drum', 'disc'] }],
    ['camera', { kind: 'values', values: ['none', 'fitted'] }],
    ['gears', { kind: 'number', integer: true, min: 0, max: 9 }],
    ['bore', { kind: 'number', integer: false, min: 0, max: 4 }],
    ['fuel', { kind: 'open' }],
    ['maker', { kind: 'open' }],
    ['model-year', { kind: 'number', integer: true, min: 1950, max: 2100 }],
  ]);
  const all = [...domains.keys()];
  /** Anywhere in the domain, and close to the constants that conditions compare with. */
  const car = fc.record({
    brake: fc.constantFrom('none', 'drum', 'disc'),
    camera: fc.constantFrom('none', 'fitted'),
    gears: fc.integer({ min: 0, max: 9 }),
    bore: fc.oneof(
      fc.double({ min: 0, max: 4, noNaN: true }),
      fc.constantFrom(0, 1.5, 2, 4, 1.5 + 2 ** -40, 2 - 2 ** -40),
    ),
    fuel: fc.oneof(fc.constantFrom('petrol', 'diesel', 'gas'), fc.stringMatching(/^[a-z0-9-]{1,6}$/)),
    maker: fc.constantFrom('alba', 'brio', 'corvo', 'constructor', 'tostring'),
    'model-year': fc.oneof(fc.integer({ min: 1950, max: 2100 }), fc.constantFrom(2009, 2010, 2011, 2019, 2020, 2021)),
  });

  test(
    'a look-up is what json-logic-js answers on any car',
    () => {
      fc.assert(
        fc.property(conditions(all, 3), car, (text, values) => {
          const faults: Fault[] = [];
          const condition = compileCondition(text, domains, 'test', '', faults);
          fc.pre(condition !== undefined);
          const expected = jsonLogic.truthy(jsonLogic.apply(text as RulesLogic, values));
          expect(holds(condition as Condition, (name) => values[name as keyof typeof values])).toBe(expected);
        }),
        { numRuns: RUNS * 10 },
      );
    },
    LONG,
  );

  test(
    'what is sure while some traits are open holds on every car; what is open goes both ways',
    () => {
      const narrow = all.slice(0, 5);
      const values = (name: string) => VALUES[name] as readonly (string | number)[];
      fc.assert(
        fc.property(
          conditions(narrow, 2),
          fc.record(Object.fromEntries(narrow.map((name) => [name, fc.subarray([...values(name)])]))),
          (text, left) => {
            const condition = compileCondition(text, domains, 'test', '', []);
            fc.pre(condition !== undefined);
            const { variables } = condition as Condition;
            const choices = variables.map((name) => (left[name]?.length ? left[name] : values(name)));
            const rows = choices.reduce<Record<string, string | number>[]>(
              (cars, list, i) => cars.flatMap((one) => list.map((v) => ({ ...one, [variables[i] as string]: v }))),
              [{}],
            );
            const answers = new Set(rows.map((row) => jsonLogic.truthy(jsonLogic.apply(text as RulesLogic, row))));
            const expected = answers.size === 2 ? EITHER : answers.has(true) ? SURELY : NEVER;
            expect(range(condition as Condition, (name) => (left[name]?.length ? left[name] : undefined))).toBe(
              expected,
            );
          },
        ),
        { numRuns: RUNS * 3 },
      );
    },
    LONG,
  );
});
