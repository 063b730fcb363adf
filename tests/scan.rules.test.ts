import { describe, expect, test } from 'vitest';
import { MODULE_IDS } from '../src/scan/find-modules.ts';
import { meaningOf } from '../src/scan/meaning.ts';
import { MONITOR_IDS } from '../src/scan/monitors.ts';
import { CodesFile } from '../src/rulebook/code-book.ts';
import { rulebook } from './real-rulebook.ts';
import { codeBook } from './scan-data.ts';
import { makers } from './vehicle-data.ts';

/** Codes that rules name, with the triggers that do. */
const named = [...rulebook.followUps.values()].flatMap(({ id, text }) => [
  ...(text.triggers ?? []).flatMap((t) =>
    (t.codes ?? []).map((code) => ({ code, id, makers: t.scope?.makers, trigger: true })),
  ),
  ...(text.skipped ?? []).flatMap((s) =>
    (s.codes ?? []).map((code) => ({ code, id, makers: undefined, trigger: false })),
  ),
]);

describe('rules/codes.json', () => {
  test('there are codes to hold against it', () => {
    expect(named.length).toBeGreaterThan(50);
  });

  test.each([...new Set(named.map(({ code }) => code))])('%s, which a rule names, has a row', (code) => {
    expect(code in codeBook.codes, 'add a row to rules/codes.json; "meaning": null where no source was seen').toBe(
      true,
    );
  });

  test.each(named.filter(({ trigger }) => trigger))(
    '$code calls for $id where its rule does',
    ({ code, id, makers: scope }) => {
      const meaning = meaningOf(code, codeBook, { makers: scope ?? [] });
      expect(meaning.says).not.toBeNull();
      // A code that names what is missing and a rule that answers it must not point two ways.
      if (meaning.calls.length > 0) expect(meaning.calls).toContain(id);
    },
  );

  test('what it calls for are follow-ups, makers are known, modules and self-tests exist', () => {
    const calls = [...Object.values(codeBook.codes), ...codeBook.families].flatMap((row) => row.calls ?? []);
    expect(calls.filter((id) => !rulebook.followUps.has(id))).toEqual([]);
    expect(
      Object.values(codeBook.codes)
        .flatMap((row) => row.makers ?? [])
        .filter((id) => !(id in makers.makers)),
    ).toEqual([]);
    expect(codeBook.families.flatMap((row) => row.modules ?? []).filter((id) => !MODULE_IDS.includes(id))).toEqual([]);
    expect(Object.keys(codeBook['self-tests']).sort()).toEqual([...MONITOR_IDS].sort());
  });

  test('every source is listed, and every listed one used', () => {
    const used = [
      ...Object.values(codeBook.codes).flatMap((row) => row.sources),
      ...codeBook.families.flatMap((row) => row.sources),
      ...Object.values(codeBook['self-tests']).flatMap((row) => row.sources),
      ...codeBook['failure-type-sources'],
    ];
    expect([...new Set(used)].sort()).toEqual(Object.keys(codeBook.sources).sort());
  });

  test('what was read names a source that was read; what was not says so', () => {
    for (const [code, row] of Object.entries(codeBook.codes)) {
      const read = row.sources.some((id) => codeBook.sources[id]?.['read-on'] !== undefined);
      if (row.basis === 'read') expect(`${code} ${read}`).toBe(`${code} true`);
      if (row.meaning === null) expect(`${code} ${row.basis}`).toBe(`${code} memory`);
    }
  });

  test('the unfinished failure types are the five', () => {
    const unfinished = Object.entries(codeBook['failure-types']).filter(([, row]) => row.unfinished);
    expect(unfinished.map(([byte]) => byte).sort()).toEqual(['51', '54', '55', '76', '78']);
    // Each of them finds a row of its family on any module.
    for (const [byte] of unfinished) expect(meaningOf(`U0FFF-${byte}`, codeBook).because).toMatch(/^its failure type/);
  });

  test.each([
    ['a code that is none', { codes: { P4000: { meaning: 'x', basis: 'read', sources: ['a'] } } }, 'codes'],
    ['a row without a source', { codes: { P0100: { meaning: 'x', basis: 'read', sources: [] } } }, 'codes'],
    [
      'calls without being unfinished',
      { codes: { P0100: { meaning: 'x', calls: ['a'], basis: 'read', sources: ['a'] } } },
      'codes',
    ],
    ['a key nobody knows', { mystery: 1 }, undefined],
  ])('%s is refused', (_, wrong, at) => {
    const read = CodesFile.safeParse({ ...codeBook, ...wrong });
    expect(read.success).toBe(false);
    if (at) expect(read.error?.issues[0]?.path[0]).toBe(at);
  });
});
