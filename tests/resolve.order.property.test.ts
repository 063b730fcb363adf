import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { stronglyConnectedComponents } from 'graphology-components';
import { hasCycle } from 'graphology-dag';
import { describe, expect, test } from 'vitest';
import { resolve } from '../src/resolve/resolve.ts';
import { checklist } from '../src/checklist.ts';
import type { Edge } from '../src/resolve/edges.ts';
import { order, rings, shortestRing } from '../src/resolve/order.ts';
import { type Facts, readFacts } from '../src/resolve/facts.ts';
import { factsOf, type Job, jobs } from './resolve.jobs.ts';
import { type Book, books, type Json, load } from './resolve.rulebooks.ts';
import { LONG, RUNS } from './resolve.runs.ts';

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
