import fc from 'fast-check';
import { expect, test } from 'vitest';
import { COMMANDS } from '../src/job/commands.ts';
import { keptOf, readReport } from '../src/job/codes/report.ts';
import { readinessTold, toldOf } from '../src/job/codes/reading.ts';
import { ReadinessTold } from '../src/job/codes/readiness-told.ts';
import { readReadiness } from '../src/scan/readiness-read.ts';
import { incomplete } from '../src/scan/readiness.ts';
import { codeBook } from './scan-data.ts';

const types = new Set(Object.keys(codeBook['failure-types']));
const base = { id: 'c1', at: '2026-03-02T08:00:00Z', by: 'Ana' };

const word = fc.oneof(
  fc.constantFrom(
    'P0456',
    'P04 56',
    'U0121-00',
    'c0529-54',
    'PO42O',
    'B11E013',
    'P0000',
    'stored',
    'permanent',
    'pending codes',
    'history',
    'Module: ',
    'ABS',
    'Engine control module',
    'no codes',
    '7E8 04 43 01 04 20',
    '7E8 04 4A 01 04 20',
    '43 01 04 20 00 00 00 00',
    '7E8 06 41 01 82 07 65 05',
    '41 01 00 07 65',
    'EVAP: not ready',
    'Catalyst: ready',
    'MIL: on',
    'VIN: 11111111111111111',
    ':',
    '-',
    ',',
    '|',
  ),
  fc.string({ maxLength: 12 }),
);
const report = fc
  .array(
    fc.array(word, { maxLength: 8 }).map((words) => words.join(' ')),
    { maxLength: 12 },
  )
  .map((lines) => lines.join('\n'));

test('whatever is pasted: every code that is found can be taken down, and is read out again as it was kept', () => {
  fc.assert(
    fc.property(report, (text) => {
      const { rows } = readReport(text, types, undefined);
      const codes = rows.flatMap(({ read }) => read);
      expect(
        COMMANDS.scanned.safeParse({ ...base, type: 'scanned', when: 'after', codes }).error?.issues,
      ).toBeUndefined();
      for (const { kept, read } of rows)
        for (const one of read) expect(keptOf(one)).toEqual(expect.arrayContaining([...kept]));
    }),
    { numRuns: 400 },
  );
});

test('a report that names only other cars gives nothing, whatever else is in it', () => {
  fc.assert(
    fc.property(report, (text) => {
      const read = readReport(`${text}\nVIN: 11111111111111111`, types, '1M8GDM9AXKP042788');
      expect(read.otherCar?.job).toBe('1M8GDM9AXKP042788');
      expect([read.rows, read.maybe]).toEqual([[], []]);
    }),
    { numRuns: 200 },
  );
});

test('whatever is pasted of self-tests: what the record keeps says the same, and never less open', () => {
  fc.assert(
    fc.property(report, (text) => {
      const read = readReadiness(text);
      const told = toldOf(read);
      if (!told) return;
      expect(ReadinessTold.safeParse(told).error?.issues).toBeUndefined();
      const again = readinessTold(told);
      expect(incomplete(again)).toEqual(incomplete(read));
      expect(again).toMatchObject({ mil: read.mil, count: read.count, counters: read.counters });
      expect(again.faults.some(({ kind }) => kind === 'broken')).toBe(
        read.faults.some(({ kind }) => kind === 'broken'),
      );
    }),
    { numRuns: 400 },
  );
});
