import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { type CauseNode, type Checklist, checklist } from '../../src/checklist.ts';
import { JobFile } from '../../src/resolve/facts.ts';
import { mustRead, rulebook } from '../real-rulebook.ts';

/**
 * A printed table of a maker or an authority, work on the left and what it calls for on the right, row by row. `source`
 * is the row of rules/sources.json that the table is; `printed` is the row in our words.
 */
const Table = z.strictObject({
  source: z.string(),
  section: z.string().optional(),
  vehicle: JobFile.shape.vehicle,
  answers: JobFile.shape.answers,
  rows: z
    .array(
      z.strictObject({
        printed: z.string().min(1),
        work: JobFile.shape.work,
        traits: z.record(z.string(), z.unknown()).optional().describe('of this row, beside those of the table'),
        calls: z.record(z.string(), z.array(z.string())).describe('follow-up to pieces of its reasons'),
        recommended: z.array(z.string()).optional().describe('of these, those that are only recommended'),
        not: z.array(z.string()).optional().describe('follow-ups that the table does not list for this row'),
        order: z.array(z.array(z.string()).min(2)).optional(),
        figures: z.record(z.string(), z.array(z.string())).optional().describe('figures, as they stand in the file'),
        ways: z.record(z.string(), z.string()).optional(),
      }),
    )
    .min(1),
  'left-out': z.record(z.string(), z.string()).optional().describe('what else the table prints, and why it is no row'),
});
type Table = z.infer<typeof Table>;

/** Every table of one publisher's folder, each a test of its own. */
export function describeTables(folder: URL): void {
  const files = readdirSync(folder).filter((file) => file.endsWith('.json'));
  describe.each(files)('%s', (file) => {
    const table = Table.parse(JSON.parse(readFileSync(new URL(file, folder), 'utf8')));
    const source = rulebook.sources.get(table.source);
    test(`is ${source?.publisher}, ${source?.title}`, () => expect(source).toBeDefined());
    test.each(table.rows.map((row) => [row.printed, row] as const))('%s', (_, row) => hold(table, row));
  });
}

function hold(table: Table, row: Table['rows'][number]): void {
  const vehicle = { ...table.vehicle, traits: { ...table.vehicle?.traits, ...row.traits } };
  const job = { ro: '1', vehicle, work: row.work, ...(table.answers ? { answers: table.answers } : {}) };
  const list = checklist(mustRead(job), rulebook, { all: true });
  for (const [id, reasons] of Object.entries(row.calls)) callsFor(list, id, reasons, row.recommended ?? []);
  const there = new Set([...list.steps, ...list.undecided].map((step) => step.followUp));
  expect(
    (row.not ?? []).filter((id) => there.has(id)),
    'not listed for this row',
  ).toEqual([]);
  for (const chain of row.order ?? []) {
    const places = chain.map((id) => list.steps.findIndex((step) => step.id === id));
    expect(places.includes(-1), `${chain.join(', ')} are all steps`).toBe(false);
    expect(places, chain.join(' before ')).toEqual([...places].sort((a, b) => a - b));
  }
  for (const [id, way] of Object.entries(row.ways ?? {}))
    expect(list.steps.find((step) => step.followUp === id)?.way, `way of ${id}`).toBe(way);
  for (const [id, figures] of Object.entries(row.figures ?? {})) {
    const text = JSON.stringify(rulebook.followUps.get(id)?.text ?? '');
    for (const figure of figures) expect(text, `figures of ${id}`).toContain(figure);
  }
}

function callsFor(list: Checklist, id: string, reasons: readonly string[], recommended: readonly string[]): void {
  const step = list.steps.find((s) => s.followUp === id);
  const inner = list.steps.flatMap((s) => s.covers).find((c) => c.followUp === id);
  const told = step ? texts(step.causes) : inner?.because;
  expect(told, `${id} is needed`).toBeDefined();
  if (step) expect(step.level, `level of ${id}`).toBe(recommended.includes(id) ? 'recommended' : 'required');
  for (const reason of reasons) expect(told?.join('\n'), `reason of ${id}`).toContain(reason);
}

function texts(nodes: readonly CauseNode[]): string[] {
  return nodes.flatMap((node) => [node.text, ...texts(node.causes)]);
}
