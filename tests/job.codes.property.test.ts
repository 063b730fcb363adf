import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { COMMANDS } from '../src/job/commands.ts';
import { keptOf } from '../src/job/codes/kept.ts';
import { readReport } from '../src/job/codes/report.ts';
import { readinessTold, toldOf } from '../src/job/codes/reading.ts';
import { ReadinessTold } from '../src/job/codes/readiness-told.ts';
import { readReadiness } from '../src/scan/readiness-read.ts';
import { incomplete } from '../src/scan/readiness.ts';
import { codesOf } from '../src/job/codes.ts';
import { gate } from '../src/job/gate.ts';
import { sightOf } from '../src/job/sight.ts';
import { rules } from './job.rulebook.ts';
import { Runner } from './job.run.ts';
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

describe('the gate and the comparison', () => {
  // Few names, so that readings meet: three faults of one number, a neighbour, its like in another system.
  const name = fc.constantFrom('C0529', 'C0529-00', 'C0529-54', 'C0529-13', 'C052A', 'P0529', 'C1513', 'C1513-13');
  const told = fc.record({
    code: name,
    module: fc.constantFrom(undefined, 'steering', 'climate', '7E8'),
    text: fc.constantFrom(undefined, 'permanent', 'stored'),
  });
  const scan = fc.uniqueArray(told, { maxLength: 6, selector: ({ code, module }) => `${code} ${module}` });
  const job = fc.record({
    work: fc.constantFrom('tie-rod', 'radio'),
    before: fc.option(scan),
    after: scan,
    explained: fc.uniqueArray(name, { maxLength: 2 }),
    left: fc.boolean(),
  });
  interface Read {
    readonly code: string;
    readonly module: string | undefined;
    readonly text: string | undefined;
  }
  interface Given {
    readonly work: string;
    readonly before: readonly Read[] | null;
    readonly after: readonly Read[];
    readonly explained: readonly string[];
    readonly left: boolean;
  }

  const judged = ({ work, before, after, explained, left }: Given) => {
    const runner = new Runner([rules]);
    const said = (read: readonly Read[]) =>
      read.map(({ code, module, text }) => ({
        code,
        ...(module ? { module } : {}),
        ...(text ? { text: `${code} ${text}` } : {}),
      }));
    runner.must({ type: 'opened' });
    runner.must({ type: 'line-added', line: { part: work, did: 'replaced' } });
    if (before) runner.must({ type: 'scanned', when: 'before', codes: said(before) });
    runner.must({ type: 'work-done' });
    runner.must({ type: 'scanned', when: 'after', codes: said(after) });
    if (left) runner.tell({ type: 'not-done', step: 'steering-zero', reason: 'no-tool' });
    for (const code of explained) runner.tell({ type: 'explained', about: { code }, because: 'seen by hand' });
    const sight = sightOf(runner.job, rules);
    const held = gate(runner.job, rules).flatMap(({ rule, item }) => (rule === 'new-code' ? [item] : []));
    return { sight, rows: codesOf(sight, rules).rows, held: held.toSorted() };
  };
  /** `00` says as little as no failure type. */
  const plain = (code: string) => code.replace('-00', '');
  const faults = (read: Given['before']) => new Set((read ?? []).map(({ code }) => plain(code)));

  test('never disagree on what holds the car', () => {
    let heldAny = 0;
    fc.assert(
      fc.property(job, (given) => {
        const { rows, held } = judged(given);
        heldAny += held.length;
        expect(
          rows
            .filter(({ holds }) => holds !== undefined)
            .map(({ code }) => code)
            .toSorted(),
        ).toEqual(held);
        const open = rows.filter(({ change, unexplained }) => unexplained && (change === 'new' || change === 'there'));
        expect(open.map(({ code }) => code).toSorted()).toEqual(held);
        for (const { code, holds } of rows) if (holds) expect(holds).toContain(`Code ${code} `);
      }),
      { numRuns: 300 },
    );
    expect(heldAny).toBeGreaterThan(100);
  });

  test('nothing passes as known by the likeness of its number', () => {
    fc.assert(
      fc.property(job, (given) => {
        const { rows } = judged(given);
        const [was, is] = [faults(given.before), faults(given.after)];
        const fresh = rows.filter(({ change }) => change === 'new' || change === 'there');
        const numbers = new Set([...was, ...is].map((code) => code.slice(0, 5)));
        for (const number of numbers) {
          const of = (all: Iterable<string>) => [...all].filter((code) => code.startsWith(number));
          const news = of(fresh.map(({ code }) => plain(code)));
          // A reading before stands for one after it at the most, and none for what had no reading of its number.
          expect(news.length).toBeGreaterThanOrEqual(of(is).length - of(was).length);
          // Where every reading tells its failure type, sets decide.
          if ([...of(was), ...of(is)].every((code) => code.includes('-')))
            expect(news.toSorted()).toEqual(
              of(is)
                .filter((code) => !was.has(code))
                .toSorted(),
            );
          for (const code of of(is)) if (was.has(code)) expect(news).not.toContain(code);
        }
      }),
      { numRuns: 300 },
    );
  });

  test('neither the order of a reading nor 00 in place of no failure type changes anything', () => {
    const bare = (read: readonly Read[]) => {
      const codes = read.map((one) => ({ ...one, code: plain(one.code) }));
      return codes.filter(
        ({ code, module }, i) => codes.findIndex((o) => o.code === code && o.module === module) === i,
      );
    };
    fc.assert(
      fc.property(job, (given) => {
        const { held } = judged({ ...given, explained: [] });
        const turned = {
          ...given,
          explained: [],
          before: given.before && [...bare(given.before)].reverse(),
          after: [...bare(given.after)].reverse(),
        };
        expect(judged(turned).held).toEqual([...new Set(held.map(plain))].toSorted());
      }),
      { numRuns: 300 },
    );
  });
});
