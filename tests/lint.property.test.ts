import fc from 'fast-check';
import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { describe, expect, test } from 'vitest';
import { order } from '../src/resolve/order.ts';
import { compileCondition, type Condition } from '../src/rulebook/condition.ts';
import type { Domain } from '../src/rulebook/domain.ts';
import { placeOfFault } from '../src/rulebook/json-place.ts';
import { all, any, type Formula, findCar, not } from '../src/rulebook/lint/car.ts';
import { lint } from '../src/rulebook/lint/lint.ts';
import { noRing } from '../src/rulebook/lint/rings.ts';
import { book, filesOf, on, resolved, type Small } from './small-rulebook.ts';

const VALUES = ['x', 'y', 'z'];
const TRAITS = ['a', 'b', 'c'];
const domains = new Map<string, Domain>(TRAITS.map((t) => [t, { kind: 'values', values: VALUES }]));
const cars = VALUES.flatMap((a) => VALUES.flatMap((b) => VALUES.map((c) => ({ a, b, c }))));

const literal = fc.record({
  trait: fc.constantFrom(...TRAITS),
  value: fc.constantFrom(...VALUES),
  equal: fc.boolean(),
});
const text = literal.map(({ trait, value, equal }) => ({ [equal ? '==' : '!=']: [{ var: trait }, value] }));

/** A formula, and the same as one JSON Logic text for the oracle. */
type Both = { formula: Formula; logic: unknown };
const leaf = fc.array(text, { minLength: 1, maxLength: 3 }).map((list): Both => {
  const logic = { and: list };
  return { formula: compileCondition(logic, domains, 'f', '', []) as Condition, logic };
});
const { formula } = fc.letrec<{ formula: Both }>((tie) => {
  const inner = fc.array(tie('formula'), { maxLength: 3 });
  return {
    formula: fc.oneof(
      { maxDepth: 4 },
      leaf,
      inner.map((parts) => ({
        formula: all(...parts.map((p) => p.formula)),
        logic: { and: [true, ...parts.map((p) => p.logic)] },
      })),
      inner.map((parts) => ({
        formula: any(parts.map((p) => p.formula)),
        logic: { or: [false, ...parts.map((p) => p.logic)] },
      })),
      tie('formula').map((p) => ({ formula: not(p.formula), logic: { '!': [p.logic] } })),
    ),
  };
});

describe('a car for a formula', () => {
  const holds = (logic: unknown, car: object) => jsonLogic.truthy(jsonLogic.apply(logic as RulesLogic, car));

  test('is found exactly where trying every car by json-logic-js finds one, whatever the traits it leaves open', () => {
    fc.assert(
      fc.property(formula, ({ formula: asked, logic }) => {
        const car = findCar(asked, domains);
        expect(car !== undefined).toBe(cars.some((c) => holds(logic, c)));
        if (!car) return;
        const meant = cars.filter((c) => [...car].every(([trait, value]) => c[trait as 'a'] === value));
        for (const one of meant) expect(holds(logic, one)).toBe(true);
      }),
      { numRuns: 2000 },
    );
  });
});

const STEPS = ['p', 'q', 'r', 's'];
const condition = fc.option(text, { nil: true as const });
const link = fc.record({ state: fc.constantFrom(...STEPS), if: condition });
type Link = { state: string; if: unknown };
const links = (most: number) => fc.uniqueArray(link, { maxLength: most, selector: (l) => l.state });
const step = fc.record({
  needs: links(2),
  upsets: links(1),
  does: links(1),
  after: links(1),
  covers: fc.oneof({ weight: 3, arbitrary: fc.constant<Link[]>([]) }, links(1)),
  // What each leaves beside the state of its own name.
  leaves: fc.oneof({ weight: 3, arbitrary: fc.constant<Link[]>([]) }, links(1)),
  fits: condition,
  repeatable: fc.oneof({ weight: 4, arbitrary: fc.constant(false) }, fc.boolean()),
  phase: fc.oneof({ weight: 6, arbitrary: fc.constant('after') }, fc.constantFrom('before', 'apart')),
});
const delivery = fc.oneof({ weight: 3, arbitrary: fc.constant('must') }, fc.constantFrom('free', 'must-not'));
const rulebook = fc
  .tuple(fc.tuple(step, step, step, step), fc.tuple(delivery, delivery, delivery, delivery))
  .map(([steps, deliveries]): Small => {
    const rules = steps.map(({ does, needs, after, covers, leaves, ...rest }, i) => {
      const id = STEPS[i] as string;
      const others = (list: readonly Link[]) => list.filter((l) => l.state !== id);
      const steps = (list: readonly Link[]) => others(list).map((l) => ({ step: l.state, if: l.if }));
      return [
        id,
        {
          ...rest,
          leaves: [{ state: id }, ...others(leaves)],
          // A need of what the step leaves itself is a fault that shows without any order.
          needs: needs.filter((n) => n.state !== id && !leaves.some((l) => l.state === n.state)),
          after: steps(after).map((a) => ({ ...a, because: 'test', sources: [] })),
          covers: steps(covers),
          does: does.map((d) => ({ part: `part-${d.state}`, did: 'adjusted', if: d.if })),
          triggers: [on(`part-${id} adjusted`)],
        },
      ];
    });
    return {
      traits: Object.fromEntries(TRAITS.map((t) => [t, VALUES])),
      states: Object.fromEntries(STEPS.map((s, i) => [s, { delivery: deliveries[i] }])),
      parts: Object.fromEntries(STEPS.map((s) => [`part-${s}`, {}])),
      rules: Object.fromEntries(rules),
    };
  });

describe('the ring lint', () => {
  test('finds every ring that some car and job make the resolver put into a block, and without covers no other', () => {
    let [rings, clean] = [0, 0];
    fc.assert(
      fc.property(rulebook, (small) => {
        const made = book(small);
        const found = lint(made, [noRing], filesOf(small));
        const blocks = cars.some((traits) =>
          jobs().some((work) => order(resolved(made, { work, traits })).blocks.length > 0),
        );
        if (blocks) rings++;
        else clean++;
        // Of what else a job always brings along (whoever covers a step, or stands between two stated orders in another
        // phase) the lint knows nothing: there it may find a ring too many, never one too few.
        const covering = [...made.followUps.values()].some(
          (f) => f.covers.length > 0 || f.after.some((a) => made.followUps.get(a.step)?.phase !== f.phase),
        );
        if (blocks || !covering) expect(found.length > 0).toBe(blocks);
      }),
      { numRuns: 60, seed: 4471 },
    );
    expect(Math.min(rings, clean)).toBeGreaterThan(5);
  });
});

function jobs(): string[][] {
  return Array.from({ length: 15 }, (_, i) =>
    STEPS.filter((__, bit) => (i + 1) & (1 << bit)).map((s) => `part-${s} adjusted`),
  );
}

describe('the place where a text stops being JSON', () => {
  test('is there exactly where JSON.parse refuses', () => {
    const damaged = fc
      .tuple(fc.json(), fc.nat(), fc.string({ maxLength: 2 }), fc.boolean())
      .map(([json, at, more, cut]) => {
        const place = at % (json.length + 1);
        return json.slice(0, place) + more + json.slice(place + (cut ? 1 : 0));
      });
    fc.assert(
      fc.property(damaged, (damage) => (placeOfFault(damage) === undefined) === isJson(damage)),
      { numRuns: 3000 },
    );
  });

  test.each([
    ['{"a": 1,\n "b": }', 2, 7, 'value'],
    ['{"a": 1 "b": 2}', 1, 9, '"," or "}"'],
    ['[1, 2', 1, 6, '"," or "]"'],
    ['', 1, 1, 'value'],
    ['{"a": 1} x', 1, 10, 'end of the text'],
    ["{'a': 1}", 1, 2, 'key or "}"'],
    ['{"a": "tab\there"}', 1, 7, 'value'],
  ])('%j: line %i, column %i', (broken, line, column, wanted) => {
    expect(placeOfFault(broken)).toEqual({ line, column, wanted });
  });
});

function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}
