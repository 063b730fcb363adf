import { readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { type Checklist, checklist, type CauseNode } from '../src/checklist.ts';
import { JobFile, readFacts } from '../src/resolve/facts.ts';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';

/**
 * Whole jobs and single facts against the real rulebook, as data. A whole job lists every needed and every undecided
 * follow-up, so that noise fails it as surely as a miss; a fact names only what its source says.
 */
const Case = z.strictObject({
  says: z.string().min(1).describe('in a sentence: the job, or what the source states'),
  job: JobFile.omit({ ro: true }).extend({ ro: z.string().optional() }),
  needed: z
    .record(z.string(), z.array(z.string()).min(1))
    .optional()
    .describe('follow-up to pieces of its reasons, all of which must be told'),
  recommended: z
    .array(z.string())
    .optional()
    .describe('of the needed, those that are only recommended; the rest must be required'),
  undecided: z
    .record(z.string(), z.array(z.string()).min(1))
    .optional()
    .describe('follow-up to the questions that decide it'),
  excluded: z.record(z.string(), z.string()).optional().describe('follow-up to a piece of the first fact against it'),
  order: z.array(z.array(z.string()).min(2)).optional().describe('each a chain: first before second before third'),
  ways: z.record(z.string(), z.string()).optional(),
  boxes: z.record(z.string(), z.array(z.string())).optional(),
  within: z
    .record(z.string(), z.string())
    .optional()
    .describe('follow-up to the time within which it must start after the step it waits for; "none" = no such time'),
  asks: z.array(z.string()).optional().describe('questions that must be open'),
  confirms: z.record(z.string(), z.array(z.string())).optional().describe('follow-up to states asked in its entry'),
  figures: z
    .record(z.string(), z.array(z.string()))
    .optional()
    .describe('follow-up to figures of the source, as they stand in its file'),
});
type Case = z.infer<typeof Case>;

const RULES = new URL('../rules/', import.meta.url);
const CASES = new URL('./cases/', import.meta.url);
const files = new Map(
  readdirSync(RULES, { recursive: true })
    .map(String)
    .filter((f) => f.endsWith('.json'))
    .map((f) => [f, readFileSync(new URL(f, RULES), 'utf8')]),
);
const { rulebook, faults } = loadRulebook(files);

test('the rulebook loads', () => expect(faults.map(printFault)).toEqual([]));

describe('whole jobs', () => {
  const jobs = readdirSync(new URL('jobs/', CASES)).filter((f) => f.endsWith('.json'));
  test.each(jobs)('%s', (file) => {
    const given = Case.parse(JSON.parse(readFileSync(new URL(`jobs/${file}`, CASES), 'utf8')));
    const list = plan(given);
    expect(
      list.steps
        .map((s) => s.followUp)
        .filter(unique)
        .sort(),
      'needed',
    ).toEqual(Object.keys(given.needed ?? {}).sort());
    expect(list.undecided.map((u) => u.followUp).sort(), 'undecided').toEqual(
      Object.keys(given.undecided ?? {}).sort(),
    );
    expect(
      list.steps
        .filter((s) => s.level === 'recommended')
        .map((s) => s.followUp)
        .filter(unique)
        .sort(),
      'recommended',
    ).toEqual([...(given.recommended ?? [])].sort());
    hold(given, list);
  });
});

describe('facts of the trade', () => {
  const cases = readdirSync(new URL('facts/', CASES))
    .filter((f) => f.endsWith('.json'))
    .flatMap((file) => {
      const all = JSON.parse(readFileSync(new URL(`facts/${file}`, CASES), 'utf8')) as Record<string, unknown>;
      return Object.entries(all).map(([id, text]) => ({ id, file: basename(file), text }));
    });
  test.each(cases)('$id ($file)', ({ text }) => {
    const given = Case.parse(text);
    hold(given, plan(given));
  });
  test('every fact that a rule uses is a case named by its id', () => {
    const used = [...rulebook.followUps.values()]
      .flatMap((f) => f.text.sources.map((s) => s.id))
      .filter((id) => /^(CH|PT)-/.test(id));
    const told = new Set(cases.map((c) => c.id.slice(0, 6)));
    expect(
      used
        .filter(unique)
        .filter((id) => !told.has(id))
        .sort(),
    ).toEqual([]);
  });
});

function plan(given: Case): Checklist {
  const read = readFacts({ ro: '1', ...given.job }, rulebook);
  expect(read.faults.map(printFault)).toEqual([]);
  return checklist(read.facts as NonNullable<typeof read.facts>, rulebook, { all: true });
}

function hold(given: Case, list: Checklist): void {
  const steps = new Map(list.steps.map((s) => [s.followUp, s]));
  const covered = new Map(list.steps.flatMap((s) => s.covers.map((c) => [c.followUp, c] as const)));
  for (const [id, reasons] of Object.entries(given.needed ?? {})) {
    const told = steps.get(id) ? texts(steps.get(id)?.causes ?? []) : covered.get(id)?.because;
    expect(told, `${id} is needed`).toBeDefined();
    const level = given.recommended?.includes(id) ? 'recommended' : 'required';
    if (steps.has(id)) expect(steps.get(id)?.level, `level of ${id}`).toBe(level);
    for (const reason of reasons) expect(told?.join('\n'), `reason of ${id}`).toContain(reason);
  }
  for (const [id, decides] of Object.entries(given.undecided ?? {})) {
    const undecided = list.undecided.find((u) => u.followUp === id);
    expect([...(undecided?.decides ?? ['is not undecided'])].sort(), `what decides ${id}`).toEqual([...decides].sort());
  }
  for (const [id, because] of Object.entries(given.excluded ?? {})) {
    expect(list.excluded.find((e) => e.followUp === id)?.because ?? 'is not excluded', `why not ${id}`).toContain(
      because,
    );
  }
  const place = (id: string) => list.steps.findIndex((s) => s.id === id);
  for (const chain of given.order ?? []) {
    const places = chain.map(place);
    expect(places.includes(-1), `${chain.join(', ')} are all steps`).toBe(false);
    expect(places, `order of ${chain.join(', ')}`).toEqual([...places].sort((a, b) => a - b));
  }
  for (const [id, way] of Object.entries(given.ways ?? {})) expect(steps.get(id)?.way, `way of ${id}`).toBe(way);
  for (const [id, within] of Object.entries(given.within ?? {})) {
    const lags = steps.get(id)?.waits.flatMap((w) => w.within ?? []) ?? ['is no step'];
    expect(lags, `lag of ${id}`).toEqual(within === 'none' ? [] : [within]);
  }
  for (const [id, boxes] of Object.entries(given.boxes ?? {}))
    expect(steps.get(id)?.boxes, `boxes of ${id}`).toEqual(boxes);
  for (const [id, states] of Object.entries(given.confirms ?? {}))
    expect(
      steps.get(id)?.confirms.map((c) => c.state),
      `asked in ${id}`,
    ).toEqual(states);
  const open = list.questions.filter((q) => q.answered === undefined).map((q) => q.id);
  for (const question of given.asks ?? []) expect(open, 'open questions').toContain(question);
  for (const [id, figures] of Object.entries(given.figures ?? {})) {
    const text = JSON.stringify(rulebook.followUps.get(id)?.text ?? '');
    for (const figure of figures) expect(text, `figures of ${id}`).toContain(figure);
  }
}

function texts(nodes: readonly CauseNode[]): string[] {
  return nodes.flatMap((node) => [node.text, ...texts(node.causes)]);
}

function unique<T>(value: T, index: number, all: readonly T[]): boolean {
  return all.indexOf(value) === index;
}
