import { describe, expect, test } from 'vitest';
import { builtCli } from './built-cli.ts';

const { work, lastbolt, file } = builtCli('scan');

const VIN = '1XXAA11A8S1000001';

describe('codes compare', () => {
  const before = file('before.txt', `VIN ${VIN}\nC0253 stored\nP0420 stored, permanent\n`);
  const after = file('after.txt', `VIN ${VIN}\nECM\nP0420 permanent\nP0315\nP03O1\n`);
  const job = file(
    'job.json',
    JSON.stringify({
      ro: '1',
      vehicle: { maker: 'chevrolet', modelYear: 2006, market: 'us', traits: { engine: 'petrol', obd2: 'fitted' } },
      work: [{ part: 'crank-sensor', did: 'replaced', by: 'us' }],
    }),
  );

  test('tells what is gone, stays and is new, and what must be looked at again', async () => {
    const { code, out } = await lastbolt(['codes', 'compare', before, after]);
    expect(code).toBe(1);
    const lines = out.split('\n');
    expect(lines).toContain('1 gone, 1 still there, 1 new; unexplained: P0315');
    expect(lines).toContain('+ P0315     engine  UNEXPLAINED');
    expect(lines).toContain('= P0420     engine');
    expect(lines).toContain('- C0253');
    expect(out).toContain('line 5: `P03O1` has O for 0: read by eye before it counts; P0301?');
  });

  test('a job’s open step explains its code', async () => {
    const { code, out, err } = await lastbolt(['codes', 'compare', before, after, '--job', job, '--json']);
    expect(err).toBe('');
    expect(code).toBe(0);
    const read = JSON.parse(out);
    expect(read.unexplained).toEqual([]);
    expect(read.codes.find((row: { code: string }) => row.code === 'P0315').ties).toEqual([
      { kind: 'step', id: 'crank-variation-learn', because: expect.stringContaining('is still open') },
    ]);
  });

  test('reads hex replies and standard input', async () => {
    const { code, out } = await lastbolt(
      ['codes', 'compare', '-', file('after.hex', '7E8 02 43 00\n')],
      '7E8 04 43 01 04 20\n',
    );
    expect(code).toBe(0);
    expect(out).toContain('1 gone, 0 still there, 0 new; none is unexplained');
  });

  test('a report without codes is one; it says so', async () => {
    const { code, out } = await lastbolt(['codes', 'compare', before, file('none.txt', 'no faults found')]);
    expect(code).toBe(0);
    expect(out).toContain('2 gone, 0 still there, 0 new; none is unexplained');
  });

  // biome-ignore format: a case a line
  test.each([
    ['another car', ['codes', 'compare', before, file('other.txt', 'VIN 1XXAA1AA8S1000001 P0420')], `other.txt: is a report of another car: VIN 1XXAA1AA8S1000001; before.txt is of VIN ${VIN}`],
    ['an empty report', ['codes', 'compare', before, file('empty.txt', ' \n')], 'empty.txt: is empty; a report that found no code says so'],
    ['a file that is not there', ['codes', 'compare', 'nowhere.txt', after], 'nowhere.txt: no such file'],
    ['both from standard input', ['codes', 'compare', '-', '-'], 'standard input can not be both reports'],
    ['a cut reply', ['codes', 'compare', file('cut.hex', '7E8 02 43 00\n7E8 06 43 02 04 20'), after], 'cut.hex: line 2 is cut short: 4 of 6 bytes: `7E8 06 43 02 04 20`'],
    ['no second report', ['codes', 'compare', before], "missing required argument 'AFTER'"],
    ['no word what to do', ['codes', 'look'], "unknown command 'look'"],
    ['a rulebook without codes', ['codes', 'compare', before, after, '--rules', work], 'codes.json: no such file'],
  ])('%s: exit code 2', async (_, args, message) => {
    const { code, err } = await lastbolt(args);
    expect(err).toContain(message);
    expect(code).toBe(2);
  });
});

describe('readiness', () => {
  const good = '7E8 06 41 01 00 07 E5 04\n7E9 06 41 01 00 04 00 00\n7E8 05 41 30 03 31 00\n';

  test('tells the tests, the verdict with its source and doubts, and what the open ones want', async () => {
    const { code, out } = await lastbolt(
      ['readiness', '-', '--place', 'us-ca', '--year', '2012', '--fuel', 'petrol'],
      '7E8 06 41 01 00 07 E5 04\n7E8 03 41 30 03\n',
    );
    expect(code).toBe(0);
    const lines = out.split('\n');
    expect(lines).toContain('lamp commanded off, 0 codes, 1 module');
    expect(lines).toContain('  [ ] fuel vapour system');
    expect(lines).toContain('  [x] catalyst');
    expect(lines).toContain('3 warm-ups since codes were cleared: cleared lately');
    expect(out).toMatch(/at the station: READY/);
    expect(out).toMatch(/source: California Bureau of Automotive Repair/);
    expect(out).toMatch(/doubt: read in four reprints/);
    expect(out).toMatch(/for the customer: One check of the exhaust cleaning is not finished yet/);
  });

  // biome-ignore format: a case a line
  test.each([
    ['ready by the guidance', good.split('\n').slice(0, 2).join('\n'), ['--place', 'US', '--year', '2012'], 0, 'at the station: READY'],
    ['a lost line', good, ['--place', 'US', '--year', '2012'], 1, 'at the station: ASK YOUR STATION'],
    ['lamp on', '41 01 81 07 65 00', ['--place', 'US', '--year', '2012'], 1, 'at the station: WOULD FAIL'],
    ['too many open', '41 01 00 07 E1 E1', ['--place', 'US', '--year', '2012'], 1, 'at the station: NOT READY'],
    ['elsewhere', '41 01 00 07 E1 00', ['--place', 'GB', '--year', '2012'], 1, 'at the station: ASK YOUR STATION'],
    ['no place', '41 01 00 07 E1 E1', [], 0, '4 not complete'],
    ['typed', 'MIL: off\nCatalyst: ready\nEVAP: not ready', ['--place', 'US', '--year', '2012'], 0, 'typed, not read from the car'],
    ['a table', 'monitor,state\nCatalyst,ready\nEVAP,not ready', [], 0, '[ ] fuel vapour system'],
  ])('%s', async (_, input, args, exit, text) => {
    const { code, out } = await lastbolt(['readiness', '-', ...args], input);
    expect(out).toContain(text);
    expect(code).toBe(exit);
  });

  test('as JSON', async () => {
    const { code, out } = await lastbolt([
      'readiness',
      file('r.hex', '41 01 00 07 65 04'),
      '--json',
      '--place',
      'US',
      '--year',
      '1999',
    ]);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      reading: { mil: false, ignition: 'spark' },
      verdict: { verdict: 'ready', incomplete: ['evap'] },
    });
  });

  // biome-ignore format: a case a line
  test.each([
    ['truncated hex', '41 01 00 07', [], 'line 1 is cut short: PID $01 has 4 bytes, here are 2'],
    ['odd digits', '41 01 00 07 E', [], 'line 1 has an odd number of hex digits (9): `41 01 00 07 E`; one is missing or one too many'],
    ['a reply of another mode', '49 02 01 31', [], 'line 1 is a reply to service $09, which says nothing of self-tests'],
    ['O for 0', '41 O1 00 07 E5 00', [], 'O for 0 or I for 1? then it reads 41 01 00 07 E5 00'],
    ['an empty report', '', [], 'standard input: is empty'],
    ['something else', 'Dear Sir', [], 'tells of no self-test'],
    ['a place nobody knows', '41 01 00 07 E5 00', ['--place', 'mars'], 'wanted: US, US-CA, CA, EU, GB, JP, CN, other'],
    ['a year that is none', '41 01 00 07 E5 00', ['--year', 'old'], 'wanted: a model year'],
  ])('%s: exit code 2', async (_, input, args, message) => {
    const { code, out, err } = await lastbolt(['readiness', '-', ...args], input);
    expect(err).toContain(message);
    expect(out).toBe('');
    expect(code).toBe(2);
  });
});
