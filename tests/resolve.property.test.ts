import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { stronglyConnectedComponents } from 'graphology-components';
import { hasCycle } from 'graphology-dag';
import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { describe, expect, test } from 'vitest';
import { kindsAfter, resolve } from '../src/resolve/resolve.ts';
import { answerWith, choicesOf, rankQuestions } from '../src/resolve/questions.ts';
import { checklist } from '../src/checklist.ts';
import type { Edge } from '../src/resolve/edges.ts';
import { order, rings, shortestRing } from '../src/resolve/order.ts';
import type { Verdict } from '../src/resolve/result.ts';
import { type Condition, compileCondition, EITHER, holds, NEVER, range, SURELY } from '../src/rulebook/condition.ts';
import type { Domain } from '../src/rulebook/domain.ts';
import { type Fault, printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { type Facts, readFacts } from '../src/resolve/facts.ts';
import { book, on, orderOf, planned, resolved, verdicts } from './small-rulebook.ts';
import { bruteForce } from './resolve.oracle.ts';
import {
  type Book,
  books,
  type Car,
  cars,
  conditions,
  factsOf,
  filesOf,
  type Job,
  jobs,
  jobText,
  type Json,
  load,
  possible,
  VALUES,
} from './resolve.rulebooks.ts';

/** Fewer while writing, more for a hunt: RUNS=5000 npx vitest run tests/resolve.property.test.ts */
const RUNS = Number(process.env.RUNS ?? 300);
const LONG = Math.max(60_000, RUNS * 60);

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

describe('the order', () => {
  const planOf = (book: Book, job: Job) => {
    const rulebook = load(book);
    const facts = factsOf(job, rulebook);
    const resolution = resolve(facts, rulebook);
    return { resolution, ordered: order(resolution), list: checklist(facts, rulebook) };
  };

  test(
    'keeps every precedence, also through steps that are still undecided',
    () => {
      let [edges, blocks, repeats] = [0, 0, 0];
      fc.assert(
        fc.property(books(true, 8), jobs(true), (book, job) => {
          const { ordered, list } = planOf(book, job);
          const graph = new DirectedGraph();
          for (const { id } of ordered.nodes) graph.addNode(id);
          for (const { before, after } of ordered.edges) graph.mergeEdge(before, after);
          expect(hasCycle(graph)).toBe(false);
          for (const phase of ['before', 'apart', 'after']) {
            const steps = list.steps.filter((step) => step.phase === phase).map((step) => step.id);
            steps.slice(1).forEach((id, i) => graph.mergeEdge(steps[i], id));
          }
          expect(hasCycle(graph)).toBe(false);
          expect(list.steps.map((s) => s.id).sort()).toEqual(
            ordered.nodes
              .filter((n) => n.verdict.kind === 'needed')
              .map((n) => n.id)
              .sort(),
          );
          for (const step of list.steps) expect(new Set(step.waits.map((w) => w.step)).size).toBe(step.waits.length);
          edges += ordered.edges.length;
          blocks += ordered.blocks.length;
          repeats += ordered.nodes.filter((n) => n.id.includes('#')).length;
        }),
        { numRuns: RUNS },
      );
      expect([edges > RUNS / 4, blocks > 0, repeats > 0]).toEqual([true, true, true]);
    },
    LONG,
  );

  const graphs = fc.integer({ min: 1, max: 9 }).chain((count) =>
    fc.array(fc.tuple(fc.nat(count - 1), fc.nat(count - 1)), { maxLength: 16 }).map((pairs) => ({
      nodes: Array.from({ length: count }, (_, i) => ({ id: `n${i}` })),
      edges: pairs
        .filter(([a, b]) => a !== b)
        .map(
          ([a, b]): Edge => ({
            before: `n${a}`,
            after: `n${b}`,
            open: [],
            reason: { kind: 'after', because: 'test', through: [] },
          }),
        ),
    })),
  );

  test('rings are the strongly connected components that a graph library finds', () => {
    fc.assert(
      fc.property(graphs, ({ nodes, edges }) => {
        const graph = new DirectedGraph();
        for (const { id } of nodes) graph.addNode(id);
        for (const { before, after } of edges) graph.mergeEdge(before, after);
        const theirs = stronglyConnectedComponents(graph)
          .filter((c) => c.length > 1)
          .map((c) => c.sort().join());
        expect(
          rings(nodes, edges)
            .map((ring) => [...ring].sort().join())
            .sort(),
        ).toEqual(theirs.sort());
      }),
      { numRuns: RUNS * 5 },
    );
  });

  test('the shortest ring is a ring, and no walk of fewer steps comes back to where it began', () => {
    fc.assert(
      fc.property(graphs, ({ nodes, edges }) => {
        const ring = shortestRing(edges);
        let walks = nodes.map(({ id }) => new Set([id]));
        let least: number | undefined;
        for (let steps = 1; steps <= nodes.length && least === undefined; steps++) {
          walks = walks.map((ends) => new Set(edges.filter((e) => ends.has(e.before)).map((e) => e.after)));
          if (walks.some((ends, i) => ends.has(nodes[i]?.id as string))) least = steps;
        }
        expect(ring?.length).toBe(least);
        ring?.forEach((edge, i) => expect(edge.after).toBe((ring[i + 1] ?? ring[0])?.before));
        expect(ring?.every((edge) => edges.includes(edge)) ?? true).toBe(true);
      }),
      { numRuns: RUNS * 5 },
    );
  });

  test(
    'a step that needs the state of a repeatable has an instance between the last upsetter before it and itself',
    () => {
      let [seen, again] = [0, 0];
      fc.assert(
        fc.property(workshops, (book) => {
          const rulebook = load(book);
          const { facts } = readFacts({ ro: '1', work: [{ part: 'box', did: 'replaced' }] }, rulebook);
          const list = checklist(facts as Facts, rulebook);
          if (list.cycles.length > 0) return;
          const names = (row: Json | undefined, role: string, state: string) =>
            ((row?.[role] as { state: string }[] | undefined) ?? []).some((r) => r.state === state);
          for (const [state, maker] of ['sa', 'sb'].map(
            (s) => [s, ['ra', 'rb'].find((r) => names(book.rules[r], 'leaves', s))] as const,
          )) {
            list.steps.forEach((step, at) => {
              if (!names(book.rules[step.followUp], 'needs', state)) return;
              const before = list.steps.slice(0, at);
              const upset = before.findLastIndex((s) => names(book.rules[s.followUp], 'upsets', state));
              const made = before.findLastIndex((s) => s.followUp === maker);
              expect([step.id, made > upset, list.steps.map((s) => s.id).join()]).toEqual([
                step.id,
                true,
                list.steps.map((s) => s.id).join(),
              ]);
              seen++;
              if (step.waitsFor.some((id) => id.includes('#'))) again++;
            });
          }
        }),
        { numRuns: RUNS * 3 },
      );
      expect([seen > RUNS, again > 10]).toEqual([true, true]);
    },
    LONG,
  );

  /** Two repeatable makers of a state each, and steps that need, upset and leave at random. */
  const workshops: fc.Arbitrary<Book> = fc
    .tuple(
      ...Array.from({ length: 6 }, () =>
        fc.record({
          needs: fc.subarray(['sa', 'sb', 'sc']),
          upsets: fc.subarray(['sa', 'sb'], { maxLength: 1 }),
          leaves: fc.subarray(['sc', 'sd'], { maxLength: 1 }),
          after: fc.option(fc.constantFrom('f0', 'f1', 'f2', 'ra'), { nil: undefined, freq: 2 }),
        }),
      ),
      fc.record({
        ra: fc.subarray(['sb', 'sc', 'sd']),
        rb: fc.subarray(['sc', 'sd']),
        upset: fc.subarray(['sd'], { maxLength: 1 }),
        turned: fc.boolean(),
      }),
    )
    .map((all) => {
      const rows = all.slice(0, 6) as { needs: string[]; upsets: string[]; leaves: string[]; after?: string }[];
      const more = all[6] as { ra: string[]; rb: string[]; upset: string[]; turned: boolean };
      const states = (list: readonly string[]) => list.map((state) => ({ state }));
      const plain = {
        kind: 'relearn',
        purpose: 'test',
        safety: false,
        phase: 'after',
        ways: [{ id: 'do' }],
        skipped: [],
        examples: [],
        sources: [],
        triggers: [{ work: [{ part: 'box', did: 'replaced' }], level: 'required', because: 'test' }],
      };
      const rules: Record<string, Json> = {
        ra: {
          title: 'ra',
          ...plain,
          repeatable: true,
          leaves: states(more.turned ? ['sb'] : ['sa']),
          needs: states(more.ra.map((s) => (s === 'sb' && more.turned ? 'sa' : s))),
          upsets: states(more.upset),
        },
        rb: {
          title: 'rb',
          ...plain,
          repeatable: true,
          leaves: states(more.turned ? ['sa'] : ['sb']),
          needs: states(more.rb),
        },
      };
      rows.forEach(({ needs, upsets, leaves, after }, i) => {
        const own = after && after !== `f${i}` ? { after: [{ step: after, because: 'test', sources: [] }] } : {};
        rules[`f${i}`] = {
          title: `f${i}`,
          ...plain,
          needs: states(needs),
          upsets: states(upsets),
          leaves: states([...leaves, `own${i}`]),
          ...own,
        };
      });
      return { traits: {}, parts: { box: { title: 'box', system: 'test' } }, states: {}, rules };
    });
});

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

describe('found by trying', () => {
  const both = ['none', 'fitted'];
  const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });

  test('a step that needs an absent state twice, once perhaps, comes to an end', () => {
    const rules = {
      make: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }, { state: 's', if: is('eps', 'fitted') }] },
    };
    expect(
      verdicts(book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } }), { work: ['box replaced'] }),
    ).toEqual({ make: 'needed', use: 'needed' });
  });

  test('a leaver that the work only perhaps calls for is no sure leaver where an earlier phase has one', () => {
    const rules = {
      early: { phase: 'apart', leaves: [{ state: 's' }] },
      late: { triggers: [{ ...on('box replaced'), if: is('eps', 'fitted') }], leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({
      early: 'undecided',
      late: 'undecided',
      use: 'needed',
    });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('early')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({
      early: 'needed',
      use: 'needed',
    });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({
      late: 'needed',
      use: 'needed',
    });
  });

  test('a later leaver may still be pulled while it is open whether the earlier one fits', () => {
    const rules = {
      early: { phase: 'apart', fits: is('eps', 'fitted'), leaves: [{ state: 's' }] },
      late: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({
      early: 'undecided',
      late: 'undecided',
      use: 'needed',
    });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({
      late: 'needed',
      use: 'needed',
    });
  });

  test('what a second way does is only perhaps done while the first may fit', () => {
    const rules = {
      step: {
        triggers: [on('box replaced')],
        ways: [
          { id: 'a', if: is('eps', 'fitted') },
          { id: 'b', does: [{ part: 'cell', did: 'refitted' }] },
        ],
      },
      after: { triggers: [on('cell refitted')] },
    };
    const rulebook = book({ rules, traits: { eps: both } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ after: 'undecided', step: 'needed' });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('after')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({ step: 'needed' });
  });

  test('a way that is only perhaps possible is not sure because no other has its tool here', () => {
    const rules = {
      step: {
        triggers: [on('box replaced')],
        ways: [
          { id: 'a', if: is('eps', 'fitted'), tool: 'scan-tool', needs: [{ state: 's' }] },
          { id: 'b', tool: 'target-stand' },
        ],
      },
      make: { leaves: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    const job = { work: ['box replaced'], tools: ['scan-tool'] };
    expect(verdicts(rulebook, job)).toEqual({ make: 'undecided', step: 'needed' });
    expect(verdicts(rulebook, { ...job, traits: { eps: 'none' } })).toEqual({ step: 'needed' });
  });

  test('an order that runs through a step that is still undecided is kept', () => {
    const rules = {
      a: { triggers: [on('box replaced')], needs: [{ state: 'b' }] },
      b: { triggers: [{ ...on('box replaced'), if: is('eps', 'fitted') }], needs: [{ state: 'c' }] },
      c: { triggers: [on('box replaced')] },
    };
    expect(orderOf(book({ rules, traits: { eps: both } }), { work: ['box replaced'] })).toEqual(['c', 'a']);
  });

  test('a way that is the only one and only perhaps fits pulls only perhaps', () => {
    const rules = {
      step: { triggers: [on('box replaced')], ways: [{ id: 'a', if: is('eps', 'fitted'), needs: [{ state: 's' }] }] },
      make: { leaves: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ make: 'undecided', step: 'needed' });
  });

  test('a maybe is asked, and is no work before it is answered', () => {
    const maybe = {
      arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', maybe: true, because: 'test' }] },
    };
    const rulebook = book({ parts: maybe, rules: { set: { triggers: [on('hub refitted')] } } });
    expect(verdicts(rulebook, { work: ['arm replaced'] })).toEqual({ set: 'undecided' });
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { 'did:hub/refitted': 'yes' } })).toEqual({
      set: 'needed',
    });
  });

  test('a not-needed does not silence what its line implies at the same rank', () => {
    const follows = { arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', because: 'test' }] } };
    const spare = (rank: object) => ({ ...on('arm refitted'), level: 'not-needed', ...rank });
    const at = (scope: object) =>
      book({ parts: follows, rules: { set: { triggers: [on('hub refitted'), spare(scope)] } } });
    expect(verdicts(at({}), { work: ['arm refitted'], maker: 'alba' })).toEqual({ set: 'needed' });
    expect(verdicts(at({ scope: { makers: ['alba'] } }), { work: ['arm refitted'], maker: 'alba' })).toEqual({});
  });

  test('an object with a length where a text is wanted is one fault', () => {
    const rulebook = book({ rules: {} });
    const messages = (ro: unknown) => readFacts({ ro, work: [] }, rulebook).faults.map((f) => f.message);
    expect(messages({ length: 'a' })).toEqual(['expected string, received object']);
    expect(messages({ length: { toString: false } })).toEqual(['holds a value that can not be checked']);
  });

  test('two that cover each other do not both vanish', () => {
    const rules = {
      a: { triggers: [on('box replaced')], covers: ['b'] },
      b: { triggers: [on('box replaced')], covers: ['a'] },
    };
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
    hub: {
      at: ['left', 'right'],
      implies: [{ when: 'refitted', part: 'link', did: 'refitted', at: 'same', because: 'test' }],
    },
    link: { at: ['left', 'right', 'middle'] },
  };

  test('"where?" can be answered for work that follows from a line', () => {
    const rulebook = book({ parts, rules: { set: { triggers: [on('hub refitted left')] } } });
    const asked = planned(rulebook, { work: ['arm replaced'] }).questions[0];
    expect([asked?.id, asked?.answers.map((a) => a.value)]).toEqual(['at:0>hub/refitted/0', ['left', 'right']]);
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'left' } })).toEqual({
      set: 'needed',
    });
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'right' } })).toEqual({});
    expect(
      readFacts(
        { ro: '1', work: [{ part: 'arm', did: 'replaced' }], answers: { 'at:0>hub/refitted/0': 'top' } },
        rulebook,
      ).faults.map((f) => f.message),
    ).toEqual(['unknown position']);
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
