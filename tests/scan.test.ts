import { describe, expect, test } from 'vitest';
import { codeOf, numberOf } from '../src/scan/code.ts';
import { clearedLately, clearingPrice, notReadyYet } from '../src/scan/cleared.ts';
import { compareCodes, type CompareFacts } from '../src/scan/compare.ts';
import { findCodes } from '../src/scan/find-codes.ts';
import { meaningOf } from '../src/scan/meaning.ts';
import type { MonitorId } from '../src/scan/monitors.ts';
import { incomplete, readinessFromHex } from '../src/scan/readiness.ts';
import { readReadiness } from '../src/scan/readiness-read.ts';
import { readinessFromTicks } from '../src/scan/readiness-typed.ts';
import { codesInReplies } from '../src/scan/reply-codes.ts';
import { stationVerdict } from '../src/scan/station.ts';
import { statusOf } from '../src/scan/status.ts';
import { codeBook, withOpen } from './scan-data.ts';

const types = new Set(Object.keys(codeBook['failure-types']));

describe('codes in pasted text', () => {
  /** Text, the codes in it, what is only suggested. */
  // biome-ignore format: a case a line
  const texts: [text: string, codes: string[], maybe?: string[]][] = [
    ['P0507', ['P0507']],
    ['P0507-00 idle', ['P0507-00']],
    ['p0507:76', ['P0507-76']],
    ['P 0507', ['P0507']],
    ['DTC P 0507, P 0171', ['P0507', 'P0171']],
    ['code: p0a1f.', ['P0A1F']],
    ['(U0100)', ['U0100']],
    ['P0300-P0304', ['P0300', 'P0304']],
    ['P0300/P0301/P0302', ['P0300', 'P0301', 'P0302']],
    ['U023A54', ['U023A-54']],
    ['P0507-Idle too high', ['P0507']],
    ['P0507-be careful', ['P0507']],
    ['P0507 - 12 V at the battery', ['P0507']],
    // Two figures behind a stroke are a blink code of one maker, not a failure type.
    ['DTC C1210/36', ['C1210']],
    ['16891/P0507/001', ['P0507']],
    ['ABS:C1234', ['C1234']],
    ['"P0507","Idle"', ['P0507']],
    ['<td>P0507</td>', ['P0507']],
    ['P0507P0171', []],
    ['P0000', []],
    ['P4000 B9000 A0507 X0507', []],
    ['C1234567, 5Q0-C1234, P0507-AB12, BP0507, P05071, P050', []],
    ['CLOSE, POOLS, BOOST, COILS, UNITS, B1OOD', []],
    ['PO5O7', [], ['P0507']],
    ['PO507 and P0507', ['P0507']],
    ['P03I5 PO3l5 P03|5', [], ['P0315', 'P0315', 'P0315']],
    ['U01OO-00', [], ['U0100-00']],
    ['take vitamin C 1000', [], ['C1000']],
    ['see p 2010', [], ['P2010']],
    ['B123499', [], ['B1234-99']],
    ['', []],
  ];
  test.each(texts)('%j: %j %j', (text, codes, maybe = []) => {
    const found = findCodes(text, types);
    expect(found.codes.map(({ code }) => code)).toEqual(codes);
    expect(found.maybe.map(({ code }) => code)).toEqual(maybe);
    for (const { because } of found.maybe) expect(because.length).toBeGreaterThan(10);
  });

  const report = `
Vehicle report   VIN: 1XXAA11A8S1000001   km 48 212
Engine control module (ECM)
  P0507-00  Idle speed higher than expected      Stored
  P0171     System too lean, current above threshold   Pending
  P0171     System too lean
ABS / stability control
No codes
Steering angle sensor module
C0529-54 | not calibrated | Active |
Pending codes
Airbag
Permanent DTCs:
P0420
Module: Rear Seat Fun
B1234 history
  U0100 (ECM) lost; U0100 (TCM) lost
`;
  const found = findCodes(report, types);
  test.each([
    ['P0507-00', ['engine'], ['stored'], 1, 4],
    ['P0171', ['engine'], ['pending'], 2, 5],
    ['C0529-54', ['steering-angle'], ['present'], 1, 10],
    ['P0420', ['restraint'], ['permanent'], 1, 14],
    ['B1234', ['Rear Seat Fun'], ['history'], 1, 16],
    ['U0100', ['engine', 'transmission'], [], 2, 17],
  ])('%s: module %j, %j, %i times, from line %i', (code, modules, kept, count, line) => {
    const row = found.codes.find((c) => c.code === code);
    expect(row).toMatchObject({ kept, count, line });
    expect(row?.modules.map((m) => m.id ?? m.text)).toEqual(modules);
  });
  test('and its VIN, and nothing else', () => {
    expect(found.vins).toEqual(['1XXAA11A8S1000001']);
    expect(found.codes).toHaveLength(6);
  });

  // biome-ignore format: a case a line
  const statuses: [line: string, kept: string[]][] = [
    ['P0507 stored, pending', ['pending', 'stored']],
    ['Pending: P0507', ['pending']],
    ['P0507 permanent magnet motor, circuit current high, active grille', []],
    ['P0507 | Current |', ['present']],
    ['P0507 [history]', ['history']],
    ['P0507 status: inactive', ['history']],
    ['P0507, confirmed', ['stored']],
    ['P0507 Intermittent', ['history']],
  ];
  test.each(statuses)('%s: %j', (line, kept) => {
    expect(findCodes(line).codes[0]?.kept).toEqual(kept);
  });

  // biome-ignore format: a case a line
  test.each([
    ['Pending codes', ['pending']],
    ['Pending codes: none', []],
    ['No permanent DTCs', []],
    ['Stored faults: 0', []],
    ['Permanent DTCs (1)', ['permanent']],
    ['Pending codes\nTCM', []],
  ])('under the heading %j: %j', (heading, kept) => {
    expect(findCodes(`${heading}\nP0507 idle`).codes[0]?.kept).toEqual(kept);
  });

  test('a VIN counts where it is called one or its check digit agrees', () => {
    expect(findCodes('1G4AH59H45G118341').vins).toEqual(['1G4AH59H45G118341']);
    expect(findCodes('1G4AH59H45G118331').vins).toEqual([]);
    expect(findCodes('VIN 1G4AH59H45G118331').vins).toEqual(['1G4AH59H45G118331']);
  });
});

describe('codes in hex replies', () => {
  // biome-ignore format: a case a line
  const cases: [text: string, codes: string[], faults: string[]][] = [
    ['43 01 04 80 03 41 23', ['P0104 stored', 'B0003 stored', 'C0123 stored'], []],
    ['7E8 04 43 01 01 33', ['P0133 stored'], []],
    ['7E8 02 43 00', [], []],
    ['7E8 04 47 01 04 20\n7E8 04 4A 01 04 20', ['P0420 pending', 'P0420 permanent'], []],
    // Four codes over two frames: 43, count 4, eight bytes = 10 bytes.
    ['7E8 10 0A 43 04 01 33 01 71\n7E8 21 03 00 04 20 00 00 00', ['P0133 stored', 'P0171 stored', 'P0300 stored', 'P0420 stored'], []],
    ['00A\n0: 43 04 01 33 01 71\n1: 03 00 04 20 00 00 00', ['P0133 stored', 'P0171 stored', 'P0300 stored', 'P0420 stored'], []],
    ['7E8 10 0A 43 04 01 33 01 71', [], ['line 1: reply of 7E8 is cut short: 6 of 10 bytes']],
    ['7E8 21 03 00 04 20 00 00 00', [], ['line 1: goes on with a reply whose beginning is missing']],
    ['7E8 10 0A 43 04 01 33 01 71\n7E8 22 03 00 04 20', [], ['line 2: part 1 of the reply of 7E8 is missing before this']],
    ['7E8 06 43 02 01 33', [], ['line 1: is cut short: 4 of 6 bytes']],
    ['7F 0A 11', [], ['line 1: the module refused service $0A (reason 11)']],
    ['NO DATA', [], ['line 1: the car gave no answer']],
    ['48 6B 10 43 01 33 00 00 00 00 A1', ['P0133 stored'], []],
    ['59 02 FF 45 29 54 2F C5 51 55 04', ['C0529-54 stored pending present', 'U0551-55 pending'], []],
  ];
  test.each(cases)('%j', (text, codes, faults) => {
    const read = codesInReplies(text);
    expect(read.codes.map(({ code, kept }) => [code, ...kept].join(' '))).toEqual(codes);
    expect(read.faults.map(({ line, message }) => `line ${line}: ${message}`)).toEqual(faults);
  });

  test('an empty list is told from a list that nobody asked for', () => {
    expect(readinessFromHex('41 01 00 07 E5 00\n7E8 02 4A 00').askedPermanent).toBe(true);
    expect(readinessFromHex('41 01 00 07 E5 00').askedPermanent).toBe(false);
  });
});

describe('replies that can not be used say why', () => {
  // biome-ignore format: a case a line
  test.each([
    ['41 01 00 07 E', 'has an odd number of hex digits (9)', 'one is missing or one too many'],
    ['41 01 00 07', 'is cut short: PID $01 has 4 bytes, here are 2', undefined],
    ['41 O1 00 07 E5 0O', 'has a letter that is no hex digit', 'O for 0 or I for 1? then it reads 41 01 00 07 E5 00'],
    ['49 02 01 31 47 31', 'is a reply to service $09, which says nothing of self-tests', 'wanted: 41 01 and four bytes'],
    ['41 0C 1A F8', 'answers PID $0C, which says nothing of self-tests', undefined],
    ['7E8 06 41 01 00 07', 'is cut short: 4 of 6 bytes', undefined],
    ['7E8 03 7F 01 12', 'the module refused service $01 (reason 12)', undefined],
    ['UNABLE TO CONNECT', 'the car gave no answer', undefined],
  ])('%s: %s', (text, message, hint) => {
    const reading = readinessFromHex(text);
    expect(reading.modules).toEqual([]);
    expect(reading.faults).toEqual([expect.objectContaining({ line: 1, message, ...(hint ? { hint } : {}) })]);
    expect(stationVerdict(reading, { place: 'US', modelYear: 2010 })).toMatchObject({ verdict: 'ask', because: ['no module told its self-tests'] });
  });

  test('a lost line beside a good one keeps the whole from being called ready', () => {
    const reading = readinessFromHex('7E8 06 41 01 00 07 E5 00\n7E9 06 41 01 81');
    expect(stationVerdict(reading, { place: 'US', modelYear: 2010, fuel: 'petrol' })).toMatchObject({
      verdict: 'ask',
      because: ['a line could not be read: read it off again', expect.anything()],
      doubts: expect.arrayContaining(['1 line was not read']),
    });
  });

  test('numbers and codes that are none are refused', () => {
    for (const number of [-1, 65_536, 1.5, Number.NaN]) expect(() => codeOf(number)).toThrow(RangeError);
    for (const code of ['P4000', 'p0507', 'P05', '', 'P0507-00']) expect(() => numberOf(code)).toThrow(RangeError);
    expect(() => statusOf(256)).toThrow(RangeError);
    expect(() => meaningOf('P05', codeBook)).toThrow(RangeError);
    expect(() => compareCodes({ before: [], after: [{ code: 'x' }], book: codeBook })).toThrow(RangeError);
  });
});

describe('several PIDs in one reply, several modules', () => {
  const reading = readinessFromHex(`
    7E8 0E 41 01 00 07 E5 85 30 03 31 00 20 4E 00 0A
    7E9 06 41 01 00 04 00 00
    7E8 06 41 41 00 07 E5 81
    >0101
    SEARCHING...`);
  test('are all read', () => {
    expect(reading.faults.map(({ message }) => message)).toEqual([]);
    expect(incomplete(reading)).toEqual(['catalyst', 'evap', 'egr-vvt']);
    expect(reading.counters).toEqual({ warmUps: 3, km: 32, minutes: 10 });
    expect(reading.trip[0]?.monitors.filter((m) => !m.complete).map(({ id }) => id)).toEqual(['catalyst', 'egr-vvt']);
    expect(reading.modules.map(({ module }) => module)).toEqual(['7E8', '7E9']);
    expect(reading.ignition).toBe('spark');
  });
});

describe('typed and tabled self-tests', () => {
  // biome-ignore format: a case a line
  const typed: [text: string, complete: string, open: string][] = [
    ['MIL: off\nCatalyst: ready\nEVAP - not ready\nEGR n/a', 'catalyst', 'evap'],
    ['[x] oxygen sensors\n[ ] oxygen sensor heaters\n☑ misfire', 'misfire oxygen-sensor', 'oxygen-sensor-heater'],
    ['NMHC catalyst: complete\nNOx/SCR: incomplete\nPM filter INCMP\nboost pressure ok', 'nmhc-catalyst boost', 'nox-scr pm-filter'],
    ['monitor,state,supported\nCatalyst,complete,yes\nEVAP,incomplete,yes\nSecondary air,incomplete,no', 'catalyst', 'evap'],
    ['Test;Result\n"Heated catalyst; ""front""";ready\nO2 sensor heater;not ready', 'heated-catalyst', 'oxygen-sensor-heater'],
    ['module\tmonitor\tstate\n7E8\tcatalyst\tready\n7E9\tcatalyst\tnot ready', '', 'catalyst'],
    ['module,reply\n7E8,06 41 01 00 07 E5 04\n7E9,06 41 01 00 04 00 00', 'misfire fuel-system components catalyst oxygen-sensor oxygen-sensor-heater egr-vvt', 'evap'],
  ];
  test.each(typed)('%j', (text, complete, open) => {
    const { monitors, faults } = readReadiness(text);
    expect(faults).toEqual([]);
    const names = (want: boolean): string =>
      monitors
        .filter((m) => m.complete === want)
        .map(({ id }) => id)
        .join(' ');
    expect(names(true)).toBe(complete);
    expect(names(false)).toBe(open);
  });

  test('lamp and count are read beside them', () => {
    expect(readReadiness('Check engine lamp: on\nCodes: 3\nCatalyst ready')).toMatchObject({ mil: true, count: 3 });
  });

  test('two lines that contradict each other leave the test open, and say so', () => {
    const reading = readReadiness('EVAP: not ready\nEVAP: ready');
    expect(incomplete(reading)).toEqual(['evap']);
    expect(reading.faults).toEqual([
      expect.objectContaining({ line: 2, message: 'says otherwise of a test that stood above' }),
    ]);
  });

  test('a test without its state is a fault; a head without rows too', () => {
    expect(readReadiness('Catalyst: ready\nEVAP').faults).toEqual([
      expect.objectContaining({ line: 2, message: 'names a self-test, but not its state' }),
    ]);
    expect(readReadiness('monitor,state\n').faults).toEqual([
      expect.objectContaining({ message: 'is a head without rows' }),
    ]);
  });

  test('ticks tell their doubts', () => {
    const reading = readinessFromTicks({ tests: { evap: 'complete', catalyst: 'not-fitted' } });
    expect(reading.doubts).toEqual(['typed, not read from the car', 'nobody said whether the lamp is commanded on']);
    expect(reading.monitors.map(({ id }) => id)).toEqual(['evap']);
  });
});

describe('the station, where the answer is not plain', () => {
  const petrol = { fuel: 'petrol' as const };
  // biome-ignore format: a case a line
  const cases: [open: MonitorId[], facts: Parameters<typeof stationVerdict>[1], verdict: string, because: string][] = [
    [['evap'], { place: 'GB', modelYear: 2015 }, 'ask', 'ask your station: no figure for market GB was read'],
    [[], { place: null, modelYear: 2015 }, 'ask', 'ask your station: no figure for an unknown place was read'],
    [[], { place: 'US', modelYear: 1995 }, 'ask', 'ask your station: cars before model year 1996 need no such self-tests'],
    [['evap', 'catalyst'], { place: 'US', modelYear: null, ...petrol }, 'ask', 'the model year decides'],
    [['evap'], { place: 'US', modelYear: null, ...petrol }, 'ready', 'not complete: fuel vapour system; two may be open for model years 1996 to 2000'],
    [['evap', 'catalyst', 'egr-vvt'], { place: 'US', modelYear: null, ...petrol }, 'not-ready', 'not complete: catalyst, fuel vapour system'],
    [['catalyst'], { place: 'US-CA', modelYear: null, ...petrol }, 'ask', 'the model year decides'],
  ];
  test.each(cases)('%j, %j: %s', (open, facts, verdict, because) => {
    const told = stationVerdict(withOpen(open), facts);
    expect(told.verdict).toBe(verdict);
    if (open.length < 3) expect(told.because[0]).toBe(because);
  });

  test('wanted are only those that the place does not let pass', () => {
    const told = stationVerdict(withOpen(['catalyst', 'evap']), { place: 'US-CA', modelYear: 2012, ...petrol });
    expect(told).toMatchObject({ verdict: 'not-ready', incomplete: ['catalyst', 'evap'], wanted: ['catalyst'] });
  });

  test('only a transmission module answered: ask', () => {
    expect(stationVerdict(readinessFromHex('41 01 00 04 00 00'), { place: 'US', modelYear: 2010 })).toMatchObject({
      verdict: 'ask',
      because: ['no module told of a self-test that a station counts: is the engine module among them?'],
    });
  });

  test('a car called diesel whose replies have the spark layout is a doubt', () => {
    const { doubts } = stationVerdict(withOpen([]), { place: 'US-CA', modelYear: 2012, fuel: 'diesel' });
    expect(doubts).toContain('the car was called diesel, but its replies have the spark layout');
  });
});

describe('what a code means and asks for', () => {
  // biome-ignore format: a case a line
  const cases: [code: string, facts: Parameters<typeof meaningOf>[2], says: string | null, calls: string[], because: string | null][] = [
    ['P0507', {}, 'idle faster than it should be', [], null],
    ['P0315', {}, 'crank tooth pattern not learned', ['crank-variation-learn'], 'crank tooth pattern not learned'],
    ['C1210', { makers: ['toyota'] }, 'yaw rate sensor zero not taken', ['yaw-zero'], 'yaw rate sensor zero not taken'],
    // A maker's code has no meaning on another maker's car.
    ['C1210', { makers: ['ford'] }, null, [], null],
    ['C1210', {}, null, [], null],
    ['B142E-78', { makers: ['ford'] }, 'front radar out of line to the side', ['front-radar-aim'], 'front radar out of line to the side'],
    ['B142E-78', { module: 'front-radar' }, null, ['front-radar-aim'], 'its failure type 78 says: alignment or adjustment wrong; aim the front radar'],
    ['U023A-54', { module: 'camera' }, null, ['forward-camera-aim', 'forward-camera-road-learn'], 'its failure type 54 says: calibration missing; aim the forward camera'],
    ['U023A-54', {}, null, [], "its failure type 54 says: calibration missing; find the calibration that this module's maker asks for"],
    ['B1000-51', { module: 'body' }, null, ['module-configuration'], 'its failure type 51 says: not programmed; program and configure the module that reports it'],
    ['C0529-54', {}, 'steering angle module not calibrated', ['steering-angle-zero'], 'steering angle module not calibrated'],
    ['P0507-13', {}, 'idle faster than it should be', [], null],
    // No source was seen for its meaning.
    ['B2960', {}, null, [], null],
  ];
  test.each(cases)('%s %j: %s', (code, facts, says, calls, because) => {
    const meaning = meaningOf(code, codeBook, facts);
    expect(meaning).toMatchObject({ says, calls, because, unfinished: because !== null });
    if (says !== null || calls.length > 0) expect(meaning.sources.length).toBeGreaterThan(0);
  });
});

describe('before against after', () => {
  const camera = { id: 'forward-camera-aim', title: 'Forward camera aim', state: 'open' as const, codes: [] };
  const facts: CompareFacts = {
    before: [{ code: 'U3003-16' }, { code: 'C0051-64' }, { code: 'P0456' }, { code: 'P0420', kept: ['permanent'] }],
    after: [
      { code: 'P0456-00' },
      { code: 'U023A-54', modules: ['camera'] },
      { code: 'B11E0-13' },
      { code: 'P0420', kept: ['permanent'] },
      { code: 'P2463' },
      { code: 'U0100' },
      { code: 'C1210' },
    ],
    steps: [
      camera,
      {
        id: 'filter-regeneration-drive',
        title: 'Filter regeneration',
        state: 'open',
        codes: ['P2463'],
        untilDriven: true,
      },
      { id: 'yaw-zero', title: 'Yaw zero', state: 'took', codes: ['C1210'] },
    ],
    lines: [{ id: 'line-2', title: 'engine module unplugged', codes: ['U0100'] }],
    book: codeBook,
    makers: ['toyota'],
  };
  const { codes, counts, unexplained, summary } = compareCodes(facts);

  // biome-ignore format: a case a line
  test.each([
    ['U3003-16', 'gone', false, '', false, 'gone'],
    ['C0051-64', 'gone', false, '', false, 'gone'],
    ['P0456-00', 'stays', false, '', true, 'still there; came with the car; no work line and no open step explains it'],
    ['U023A-54', 'new', false, 'step forward-camera-aim', false, 'was not there before; Forward camera aim is still open'],
    ['B11E0-13', 'new', false, '', true, 'was not there before; ours until shown otherwise'],
    ['P0420', 'stays', true, '', false, 'still there; permanent: goes only when the car finds the fault gone, on the road'],
    ['P2463', 'new', true, 'step filter-regeneration-drive', false, 'was not there before; Filter regeneration is still open; expected until the car has been driven'],
    ['U0100', 'new', false, 'line line-2', false, 'was not there before; left by the work: engine module unplugged'],
    ['C1210', 'new', false, '', true, 'was not there before; Yaw zero took, yet its code is there; yaw rate sensor zero not taken: it asks for yaw-zero; ours until shown otherwise'],
  ])('%s: %s', (code, change, untilDriven, tie, open, says) => {
    const row = codes.find((c) => c.code === code);
    expect(row).toMatchObject({ change, untilDriven, unexplained: open, says });
    expect(row?.ties.map(({ kind, id }) => `${kind} ${id}`).join()).toBe(tie);
  });

  test('counted and in order: new, still there, gone', () => {
    expect(counts).toEqual({ gone: 2, stays: 2, new: 5, there: 0 });
    expect(codes.map(({ change }) => change)).toEqual([
      'new',
      'new',
      'new',
      'new',
      'new',
      'stays',
      'stays',
      'gone',
      'gone',
    ]);
    expect(unexplained).toEqual(['B11E0-13', 'C1210', 'P0456-00']);
    expect(summary).toBe('2 gone, 2 still there, 5 new; unexplained: B11E0-13, C1210, P0456-00');
  });

  test('what a person wrote explains; a step not done still explains', () => {
    const told = compareCodes({
      ...facts,
      explained: { 'P0456-00': 'came with the car, owner declined' },
      steps: [{ ...camera, state: 'not-done' }],
    });
    expect(told.codes.find((c) => c.code === 'P0456-00')).toMatchObject({
      unexplained: false,
      says: 'still there; came with the car, owner declined',
    });
    expect(told.codes.find((c) => c.code === 'U023A-54')).toMatchObject({
      unexplained: false,
      says: 'was not there before; Forward camera aim is not done',
    });
  });

  test('where nobody read before, nothing is called new', () => {
    const told = compareCodes({ before: null, after: [{ code: 'P0456' }], book: codeBook });
    expect(told.codes[0]).toMatchObject({ change: 'there', unexplained: true });
    expect(told.summary).toBe('1 there; nobody read before, so none can be called new; unexplained: P0456');
  });

  // Another failure type is another fault; one that was not told may be any.
  test.each([
    ['C0529-54', 'C0529-13', 'new gone'],
    ['C0529-54', 'C0529', 'stays'],
    ['C0529-00', 'C0529-54', 'stays'],
  ])('%s, then %s: %s', (was, now, changes) => {
    const told = compareCodes({ before: [{ code: was }], after: [{ code: now }], book: codeBook });
    expect(told.codes.map(({ change }) => change).join(' ')).toBe(changes);
  });
});

describe('clearing codes', () => {
  test('costs the self-tests, leaves permanent codes, and takes the lamp as evidence', () => {
    const { price, warnings } = clearingPrice({
      readiness: withOpen(['evap'], { mil: true, count: 3 }),
      codes: ['P0420', 'P0456'],
      permanent: ['P0420'],
      saved: false,
      unexplained: ['P0456'],
    });
    expect(price).toBe(
      '4 complete self-tests start again from nothing: catalyst, oxygen sensors, oxygen sensor heaters, exhaust gas recirculation or valve timing. ' +
        'Permanent P0420 stays until the car itself finds the fault gone. ' +
        'The warning lamp goes out and is no longer evidence: write down first that it was lit.',
    );
    expect(warnings).toEqual([
      'P0420, P0456 would be gone unsaved, with freeze frames',
      'P0456 is explained by nothing yet: once cleared, the fault can not be seen any more',
      'the car counts 3 codes, 2 were read: read all modules first',
    ]);
  });

  test('without a reading, and with nothing to hide', () => {
    const facts = { codes: [], permanent: [], saved: true, unexplained: [] };
    expect(clearingPrice(facts)).toEqual({
      price:
        'All self-tests that are complete start again from nothing. A permanent code, where the car keeps them, can not be cleared with a tool.',
      warnings: [],
    });
    expect(
      clearingPrice({
        ...facts,
        readiness: withOpen(['catalyst', 'evap', 'oxygen-sensor', 'oxygen-sensor-heater', 'egr-vvt']),
      }).price,
    ).toMatch(/^No self-test that a station counts is complete, so none is lost\./);
  });

  // 5 warm-ups; 100 miles = 160.9 km; 200 min: figures of a rule for heavy vehicles, and said to be.
  test.each([
    [{ warmUps: 4 }, true, '4 warm-ups since codes were cleared'],
    [{ warmUps: 5, km: 10 }, false, '5 warm-ups, 10 km since codes were cleared'],
    [{ km: 160 }, true, '160 km since codes were cleared'],
    [{ km: 161 }, false, '161 km since codes were cleared'],
    [{ minutes: 199 }, true, '199 min of engine running since codes were cleared'],
    [{}, null, 'no counter of PID $30, $31 or $4E was read'],
  ])('%j: lately %s', (counters, lately, because) => {
    expect(clearedLately(counters)).toMatchObject({
      lately,
      because,
      source: expect.stringContaining('no figure for cars'),
    });
  });
});

describe('not ready yet', () => {
  test('what was read after the work speaks; tests that want a rest stand first', () => {
    const told = notReadyYet('cleared', codeBook, { after: withOpen(['catalyst', 'evap']) });
    expect(told.tests.map(({ id, soak }) => [id, soak])).toEqual([
      ['evap', true],
      ['catalyst', false],
    ]);
    expect(told.tests[0]).toMatchObject({
      basis: 'read',
      sources: expect.arrayContaining([expect.stringContaining('Lexus')]),
    });
    expect(told.because).toBe('codes were cleared, and with them the self-tests');
    expect(told.customer).toBe(
      "2 checks of the exhaust cleaning are not finished yet (fuel vapour system, catalyst). Your car runs them by itself in some days of mixed driving, with some starts after a night's rest. Do not take it to an emission test before; if the warning lamp comes on, come back to us.",
    );
  });

  test('without a reading after: all that the car has, as a doubt', () => {
    const told = notReadyYet('power-lost', codeBook, { before: withOpen([]) });
    expect(told.tests.map(({ id }) => id).sort()).toEqual([
      'catalyst',
      'egr-vvt',
      'evap',
      'oxygen-sensor',
      'oxygen-sensor-heater',
    ]);
    expect(told.doubts).toContain('not read after the work: taken from the reading before');
  });

  test('with no reading at all the owner is still told; with nothing open there is nothing to tell', () => {
    expect(notReadyYet('power-lost', codeBook, {})).toMatchObject({
      tests: [],
      customer: expect.stringContaining('has to start these checks again'),
    });
    expect(notReadyYet('cleared', codeBook, { after: withOpen([]) })).toMatchObject({ tests: [], customer: '' });
  });
});
