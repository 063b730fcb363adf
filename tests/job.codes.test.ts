import { describe, expect, test } from 'vitest';
import { codesOf } from '../src/job/codes.ts';
import { clearingOf } from '../src/job/codes/clearing.ts';
import { readinessTold, toldOf } from '../src/job/codes/reading.ts';
import { keptOf } from '../src/job/codes/kept.ts';
import { readReport } from '../src/job/codes/report.ts';
import { selfTestsLine, selfTestsOf } from '../src/job/codes/self-tests.ts';
import { sightOf } from '../src/job/sight.ts';
import type { Stage } from '../src/job/state.ts';
import { readReadiness } from '../src/scan/readiness-read.ts';
import { stationVerdict } from '../src/scan/station.ts';
import { CODES, REPORTS, told } from './job.codes.cases.ts';
import { rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';
import { rulebook as realRules } from './real-rulebook.ts';
import { codeBook } from './scan-data.ts';

const types = new Set(Object.keys(codeBook['failure-types']));

describe('codes of a job', () => {
  test.each(CODES.map((c) => [c.says, c] as const))('%s', (_, { given, rows }) => {
    const { sight } = jobOf(given);
    const seen = codesOf(sight, rules);
    expect(seen.rows.map(({ code, change }) => [code, change])).toEqual(rows.map(([code, change]) => [code, change]));
    rows.forEach(([code, , more = {}], i) => {
      const row = seen.rows[i];
      const wanted = { ...more } as Record<string, unknown>;
      const got: Record<string, unknown> = {
        ...row,
        step: row?.step?.id,
        kinds: row?.ties.map(({ kind }) => kind),
        words: row?.explained?.because,
      };
      for (const [key, value] of Object.entries(wanted)) {
        if (key === 'holds' && typeof value === 'string') expect(row?.holds, code).toContain(value);
        else expect(got[key], `${code} ${key}`).toEqual(value);
      }
    });
  });

  test('what holds the car is what the gate says, no more and no less', () => {
    for (const { given } of CODES) {
      const { sight } = jobOf(given);
      const gate = sight.refusals.filter(({ rule }) => rule === 'new-code').map(({ item }) => item);
      const held = codesOf(sight, rules).rows.flatMap(({ code, holds }) => (holds ? [code] : []));
      expect(held.toSorted()).toEqual(gate.toSorted());
    }
  });
  test('a step that is done twice is open as long as either is', () => {
    const { sight } = jobOf([
      told.line('tie-rod replaced'),
      told.read('before'),
      { type: 'work-done' },
      told.read('after', 'C1513'),
    ]);
    const [item] = sight.items.filter(({ id }) => id === 'steering-zero');
    const twice = (first: Stage, second: Stage) => {
      const steps = item
        ? [
            { ...item, stage: first },
            { ...item, id: 'steering-zero#2', stage: second },
          ]
        : [];
      const [row] = codesOf({ ...sight, items: steps }, rules).rows;
      return [row?.ties.map(({ because }) => because), row?.step?.id];
    };
    expect(twice('took', 'open')).toEqual([['Steering angle zero is still open'], 'steering-zero#2']);
    expect(twice('open', 'took')).toEqual([['Steering angle zero is still open'], 'steering-zero']);
    expect(twice('not-done', 'took')).toEqual([['Steering angle zero is not done'], 'steering-zero']);
    expect(twice('took', 'took')).toEqual([[], 'steering-zero']);
  });
});

describe('a report', () => {
  test.each(REPORTS.map((c) => [c.says, c] as const))('%s', (_, { text, vin, rows, other, maybe = [], faults = 0 }) => {
    const report = readReport(text, types, vin);
    expect(report.otherCar).toEqual(other ?? null);
    expect(report.maybe.map(({ code }) => code)).toEqual(maybe);
    expect(report.faults).toHaveLength(faults);
    expect(report.rows.map(({ code, line }) => [code, line])).toEqual(rows.map(([code, line]) => [code, line]));
    rows.forEach(([code, , more = {}], i) => {
      const row = report.rows[i];
      const got: Record<string, unknown> = { ...row, words: row?.text, reads: row?.read.length };
      for (const [key, value] of Object.entries(more)) expect(got[key], `${code} ${key}`).toEqual(value);
      // What the report said of it is read out of the record again.
      for (const read of row?.read ?? [])
        expect([...keptOf(read)].toSorted()).toEqual([...(row?.kept ?? [])].toSorted());
    });
  });

  test('what is ticked is taken by the record as it is', () => {
    for (const { text, vin } of REPORTS) {
      const runner = new Runner([rules]);
      runner.must({ type: 'opened' });
      const codes = readReport(text, types, vin).rows.flatMap(({ read }) => read);
      expect(() => runner.must({ type: 'scanned', when: 'before', codes })).not.toThrow();
    }
  });
});

describe('a reading of the self-tests', () => {
  // SAE J1979 service $01 PID $01: A lamp and count, B continuous tests, C fitted, D not complete.
  test.each([
    ['all complete', '7E8 06 41 01 00 07 65 00'],
    ['two open, lamp lit, two codes', '7E8 06 41 01 82 07 65 05'],
    ['a compression engine', '7E8 06 41 01 00 0F EB 02'],
    ['two modules', '7E8 06 41 01 00 07 65 04\n7E9 06 41 01 00 04 00 00'],
    ['with counters', '7E8 06 41 01 00 07 65 00\n7E8 03 41 30 02\n7E8 04 41 31 00 1E'],
    ['permanent codes', '7E8 06 41 01 00 07 65 00\n7E8 04 4A 01 04 20'],
    ['a line that is lost', '7E8 06 41 01 00 07 65 00\n7E8 06 41 01 0O 07'],
    ['typed', 'Catalyst: ready\nEVAP: not ready\nMIL: off'],
  ])('%s: the record keeps what a station would judge', (_, text) => {
    const read = readReadiness(text);
    const kept = toldOf(read);
    expect(kept).not.toBeNull();
    for (const [place, modelYear] of [
      ['US', 2012],
      ['US-CA', 2012],
      ['US-CA', 2008],
      ['US', 1998],
      ['EU', 2015],
    ] as const) {
      const facts = { place, modelYear };
      const { verdict, because, incomplete } = stationVerdict(read, facts);
      const again = stationVerdict(readinessTold(kept as NonNullable<typeof kept>), facts);
      expect(again).toMatchObject({ verdict, because, incomplete });
    }
  });

  test('text that says nothing of self-tests is no reading', () => {
    expect(toldOf(readReadiness('the car was washed'))).toBeNull();
  });
});

describe('self-tests of a job', () => {
  const lost = [told.line('supply-12v power-lost'), { type: 'work-done' }];
  const petrol = { type: 'trait-told', trait: 'engine', answer: 'petrol' };
  test.each<[string, readonly Told[], string]>([
    ['nothing is known to be open', [told.line('windscreen replaced')], ''],
    ['power was lost, nobody read', [petrol, ...lost], 'has to start these checks again'],
    ['power is not lost yet', [petrol, told.line('supply-12v power-lost')], ''],
    ['an electric car has none', [{ ...petrol, answer: 'none' }, ...lost], ''],
    [
      'read after: one open',
      [petrol, ...lost, told.readiness('after', ['evap'])],
      'One check of the exhaust cleaning is not finished yet (fuel vapour system)',
    ],
    ['read after: all complete', [petrol, ...lost, told.readiness('after', [])], ''],
    [
      'read before only',
      [petrol, told.readiness('before', []), ...lost],
      '3 checks of the exhaust cleaning are not finished yet',
    ],
    [
      'read before, no reason to start again',
      [petrol, told.readiness('before', ['catalyst'])],
      'One check of the exhaust cleaning is not finished yet (catalyst)',
    ],
  ])('%s', (_, given, line) => {
    const { sight } = jobOf(given, realRules);
    const says = selfTestsLine(sight, realRules);
    if (line === '') expect(says).toBe('');
    else expect(says).toContain(line);
  });

  test('the later reading is judged, at the place and in the year that are written up', () => {
    const car = { type: 'vehicle-told', vehicle: { market: 'US-CA', modelYear: 2012 } };
    const { sight } = jobOf(
      [car, petrol, told.readiness('before', []), ...lost, told.readiness('after', ['catalyst'])],
      realRules,
    );
    const tests = selfTestsOf(sight, realRules);
    expect(tests?.verdict).toMatchObject({ verdict: 'not-ready', wanted: ['catalyst'] });
    expect(tests?.verdict?.source?.publisher).toContain('California');
    // Elsewhere no figure was read, and none is made up.
    expect(selfTestsOf(sight, realRules, { place: 'EU', modelYear: 2012 })?.verdict?.verdict).toBe('ask');
  });
});

describe('when codes were cleared, by the car and by the record', () => {
  const counted = (when: 'before' | 'after', counters: object, more: object = {}) =>
    told.readiness(when, [], { counters, ...more });
  const cleared = { type: 'codes-cleared', at: '2026-03-02T08:30:00Z', by: 'Ben' };
  const later = { at: '2026-03-02T09:30:00Z' };
  const work = { type: 'work-done' };
  test.each<[string, readonly Told[], readonly string[]]>([
    ['no counter was read', [told.readiness('before', [])], []],
    ['long ago, and nobody says otherwise', [counted('before', { warmUps: 40, km: 900 })], []],
    [
      'a short while ago, before it came here',
      [counted('before', { warmUps: 2, km: 30 })],
      ['codes were cleared a short while ago (2 warm-ups, 30 km since codes were cleared), and nobody here says so'],
    ],
    ['cleared here, an hour ago', [cleared, work, counted('after', { warmUps: 1, km: 12, minutes: 25 }, later)], []],
    [
      'cleared here an hour ago, but the car has gone further since',
      [cleared, work, counted('after', { warmUps: 40, km: 900, minutes: 1200 }, later)],
      ['codes were cleared by Ben, and yet the car counts 1200 min of engine running and 900 km and 40 warm-ups'],
    ],
    ['the supply was lost here', [told.line('battery power-lost'), work, counted('after', { warmUps: 0, km: 1 })], []],
    ['it was cleared behind the reading', [work, counted('after', { warmUps: 40, km: 900 }), cleared], []],
  ])('%s', (_, given, says) => {
    const { sight } = jobOf([told.line('tie-rod replaced'), ...given]);
    const disagree = selfTestsOf(sight, rules)?.disagree ?? [];
    expect(disagree).toHaveLength(says.length);
    says.forEach((text, i) => expect(disagree[i]).toContain(text));
  });

  test('a US job reads miles', () => {
    const given = [
      { type: 'vehicle-told', vehicle: { market: 'US-CA', modelYear: 2014 } },
      counted('before', { warmUps: 20, km: 500 }, { permanent: ['P0456'] }),
      told.line('tie-rod replaced'),
    ];
    const [us, metric] = (['us', 'metric'] as const).map((units) => {
      const runner = new Runner([realRules]);
      runner.must({ type: 'opened', units });
      for (const one of given.slice(0, 2)) runner.must(one);
      return selfTestsOf(sightOf(runner.job, realRules), realRules);
    });
    // 500 km are 310.7 miles.
    expect(us?.cleared?.because).toBe('20 warm-ups, 311 mi since codes were cleared');
    expect(metric?.cleared?.because).toBe('20 warm-ups, 500 km since codes were cleared');
    expect(us?.verdict?.doubts.join()).toContain('20 warm-ups and 311 mi since codes were cleared');
  });
});

describe('before codes are cleared', () => {
  test.each<[string, readonly Told[], readonly string[], readonly string[]]>([
    [
      'nobody has read them',
      [told.line('tie-rod replaced')],
      ['All self-tests that are complete start again'],
      ['nobody has read the codes yet, and what the car came with can not be shown any more'],
    ],
    ['read, and none was there', [told.line('tie-rod replaced'), told.read('before')], ['can not be cleared'], []],
    [
      'codes that nobody explained would be hidden',
      [told.line('tie-rod replaced'), told.read('before', 'P0420')],
      ['can not be cleared with a tool'],
      ['freeze frames are not', 'P0420 is explained by nothing yet'],
    ],
    [
      'self-tests, a permanent code and the lamp, that nobody wrote down',
      [
        told.line('tie-rod replaced'),
        told.readiness('before', ['evap'], {
          modules: [told.module(['evap'], { mil: true, count: 3 })],
          permanent: ['P0456'],
        }),
        told.read('before', { code: 'C1513' }),
      ],
      [
        '2 complete self-tests start again from nothing: catalyst, oxygen sensors',
        'Permanent P0456 stays',
        'The warning lamp goes out',
      ],
      [
        'freeze frames are not',
        'C1513 belongs to Steering angle zero, still to be done',
        'nobody wrote down the lamps when the car came in',
        'the car counts 3 codes, 1 were read',
      ],
    ],
    [
      'a code that an open step answers, behind the work',
      [told.line('tie-rod replaced'), told.read('before'), { type: 'work-done' }, told.read('after', 'C0529')],
      [],
      ['freeze frames are not', 'C0529 belongs to Steering angle zero, still to be done'],
    ],
  ])('%s', (_, given, price, warnings) => {
    const { sight } = jobOf(given);
    const clearing = clearingOf(sight, codesOf(sight, rules), rules);
    for (const text of price) expect(clearing.price).toContain(text);
    expect(clearing.warnings).toHaveLength(warnings.length);
    for (const [i, text] of warnings.entries()) expect(clearing.warnings[i]).toContain(text);
    expect(clearing.free).toBe(warnings.length === 0);
  });

  test('that somebody cleared them, though no step asked for it, is on record and starts the self-tests again', () => {
    const given = [told.line('tie-rod replaced'), told.readiness('before', []), told.read('before')];
    const { sight } = jobOf([...given, { type: 'codes-cleared', by: 'Ben' }]);
    expect(clearingOf(sight, codesOf(sight, rules), rules).cleared).toMatchObject({ by: 'Ben' });
    expect(selfTestsOf(sight, rules)?.open.because).toBe('codes were cleared, and with them the self-tests');
    expect(selfTestsOf(jobOf(given).sight, rules)?.open.tests).toEqual([]);
  });

  test('what the step before the work has read counts as saved, and the step that clears is named', () => {
    const before = [told.line('engine-control-module unplugged'), told.read('before', 'P0420')];
    const values = {
      'entry/Odometer': { kind: 'number', value: 81_000 },
      'proof/before-scan/Codes found': { kind: 'number', value: 1 },
      'proof/before-scan/Report of all modules': { kind: 'photo', hash: 'a'.repeat(64) },
    };
    const unsaved = jobOf(before, realRules).sight;
    const saved = jobOf(
      [...before, { type: 'photo-attached', hash: 'a'.repeat(64) }, { type: 'took', step: 'before-scan', values }],
      realRules,
    ).sight;
    const [not, is] = [unsaved, saved].map((sight) => clearingOf(sight, codesOf(sight, realRules), realRules));
    expect(not?.step?.followUp).toBe('clear-codes');
    expect(not?.warnings.join()).toContain('freeze frames');
    expect(is?.warnings.join()).not.toContain('freeze frames');
  });
});

function jobOf(given: readonly Told[], book = rules) {
  const runner = new Runner([book]);
  runner.must({ type: 'opened' });
  for (const one of given) runner.must(one);
  return { sight: sightOf(runner.job, book), runner };
}
