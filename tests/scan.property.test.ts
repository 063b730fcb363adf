import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { codeOf, formatCode, numberOf, readCode } from '../src/scan/code.ts';
import { compareCodes, type SeenCode } from '../src/scan/compare.ts';
import { findCodes, MOST_MAYBE } from '../src/scan/find-codes.ts';
import { type MonitorId, monitorStatus } from '../src/scan/monitors.ts';
import { readinessFromHex } from '../src/scan/readiness.ts';
import { readReadiness } from '../src/scan/readiness-read.ts';
import { stationVerdict } from '../src/scan/station.ts';
import { keptBy, STATUS_BITS, statusOf } from '../src/scan/status.ts';
import { codeBook, withOpen } from './scan-data.ts';

describe('two bytes and a code', () => {
  test('all 65,536 go there and back, each to its own', () => {
    const seen = new Set<string>();
    for (let number = 0; number < 0x10000; number++) {
      const code = codeOf(number);
      seen.add(code);
      if (numberOf(code) !== number || formatCode(readCode(code) ?? { base: '', failureType: null }) !== code)
        expect.fail(`${number} became ${code}`);
    }
    expect(seen.size).toBe(0x10000);
  });

  test('each as the bit pattern says, spelt out otherwise', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 0xffff }), (number) => {
        const bits = number.toString(2).padStart(16, '0');
        const letter = { '00': 'P', '01': 'C', '10': 'B', '11': 'U' }[bits.slice(0, 2)];
        const digits = [bits.slice(2, 4), bits.slice(4, 8), bits.slice(8, 12), bits.slice(12)].map((group) =>
          Number.parseInt(group, 2).toString(16),
        );
        expect(codeOf(number)).toBe(letter + digits.join('').toUpperCase());
      }),
    );
  });

  test('every one is found in a line of text, in any of the ways people write it', () => {
    const types = new Set(Object.keys(codeBook['failure-types']));
    for (let number = 1; number < 0x10000; number += 1) {
      const code = codeOf(number);
      const ways = [
        code,
        code.toLowerCase(),
        `${code}-00`,
        `${code}:76`,
        `${code.charAt(0)} ${code.slice(1)}`,
        `${code}54`,
      ];
      const typed = ways[number % ways.length] as string;
      const { codes, maybe } = findCodes(`DTC ${typed} `, types);
      // With fewer than two figures among its last four characters, words and codes look alike.
      const plain = (code.slice(1).match(/\d/g) ?? []).length >= 2;
      if (plain ? codes.length !== 1 || codes[0]?.base !== code : codes.length + maybe.length > 0) expect.fail(typed);
    }
  });
});

test('every bit of a status byte is named, and only those set', () => {
  for (let byte = 0; byte < 256; byte++) {
    const bits = byte.toString(2).padStart(8, '0').split('').reverse();
    expect(statusOf(byte)).toEqual(STATUS_BITS.filter((_, i) => bits[i] === '1').map(({ id }) => id));
    expect(keptBy(byte).includes('stored')).toBe(bits[3] === '1');
    expect(keptBy(byte).includes('pending')).toBe(bits[2] === '1');
  }
});

/** Bit by bit from the layout's table, on strings: nothing shared with the code under test. */
function byHand(bytes: readonly number[]): Map<MonitorId, boolean> {
  const [, b = '', c = '', d = ''] = bytes.map((byte) => byte.toString(2).padStart(8, '0'));
  const bit = (byte: string, n: number): boolean => byte.charAt(7 - n) === '1';
  const spark =
    'catalyst,heated-catalyst,evap,secondary-air,reserved-or-filter,oxygen-sensor,oxygen-sensor-heater,egr-vvt';
  const compression = 'nmhc-catalyst,nox-scr,,boost,,exhaust-sensor,pm-filter,egr-vvt';
  const found = new Map<MonitorId, boolean>();
  'misfire,fuel-system,components'.split(',').forEach((id, n) => {
    if (bit(b, n)) found.set(id as MonitorId, !bit(b, n + 4));
  });
  (bit(b, 3) ? compression : spark).split(',').forEach((id, n) => {
    if (id && bit(c, n)) found.set(id as MonitorId, !bit(d, n));
  });
  return found;
}

const byte = fc.integer({ min: 0, max: 255 });
const four = fc.tuple(byte, byte, byte, byte);
const hex = (bytes: readonly number[], join = ' '): string =>
  bytes.map((b) => b.toString(16).padStart(2, '0')).join(join);

describe('readiness', () => {
  test('agrees with a reading bit by bit', () => {
    fc.assert(
      fc.property(four, (bytes) => {
        const { monitors, mil, count, ignition } = monitorStatus(bytes);
        expect(new Map(monitors.map((m) => [m.id, m.complete]))).toEqual(byHand(bytes));
        expect({ mil, count, ignition }).toEqual({
          mil: bytes[0] > 127,
          count: bytes[0] % 128,
          ignition: Math.floor(bytes[1] / 8) % 2 === 1 ? 'compression' : 'spark',
        });
      }),
      { numRuns: 2_000 },
    );
  });

  test('is the same whatever the header, the blanks and the case', () => {
    fc.assert(
      fc.property(four, byte, fc.boolean(), (bytes, sum, capitals) => {
        const body = [0x41, 0x01, ...bytes];
        const ways = [
          hex(body),
          hex(body, ''),
          `>${hex(body, ',')}`,
          `7E8 06 ${hex(body)}`,
          `7E806${hex(body, '')}`,
          `7E8 06 ${hex(body)} AA`,
          `18 DA F1 10 06 ${hex(body)}`,
          `18DAF110 06 ${hex(body)} 55`,
          `48 6B 10 ${hex([...body, sum])}`,
          `86 F1 10 ${hex([...body, sum])}`,
          `0101\n${hex(body)}\n\n>`,
        ];
        const readings = ways.map((way) => readReadiness(capitals ? way.toUpperCase() : way));
        for (const reading of readings) {
          expect(reading.faults).toEqual([]);
          expect(reading.modules).toHaveLength(1);
          expect(new Map(reading.monitors.map((m) => [m.id, m.complete]))).toEqual(byHand(bytes));
        }
      }),
    );
  });

  test('over several modules: fitted in any, complete only in all, lamps joined, counts added', () => {
    fc.assert(
      fc.property(fc.array(four, { minLength: 1, maxLength: 4 }), (modules) => {
        const reading = readinessFromHex(
          modules.map((bytes, i) => `7E${(8 + i).toString(16)} 06 41 01 ${hex(bytes)}`).join('\n'),
        );
        const each = modules.map(byHand);
        const ids = new Set(each.flatMap((found) => [...found.keys()]));
        expect(new Set(reading.monitors.map(({ id }) => id))).toEqual(ids);
        for (const { id, complete } of reading.monitors)
          expect(complete).toBe(!each.some((found) => found.get(id) === false));
        expect(reading.mil).toBe(modules.some(([a]) => a > 127));
        expect(reading.count).toBe(modules.reduce((sum, [a]) => sum + (a % 128), 0));
      }),
    );
  });

  test('one more open test never turns not ready into ready, wherever and whenever', () => {
    const ids: MonitorId[] = ['catalyst', 'evap', 'oxygen-sensor', 'egr-vvt'];
    fc.assert(
      fc.property(
        fc.subarray(ids),
        fc.constantFrom('US' as const, 'US-CA' as const),
        fc.integer({ min: 1996, max: 2030 }),
        (open, place, modelYear) => {
          const ready = (some: MonitorId[]): boolean =>
            stationVerdict(withOpen(some), { place, modelYear, fuel: 'petrol' }).verdict === 'ready';
          if (!ready(open)) return;
          for (const id of open) expect(ready(open.filter((other) => other !== id))).toBe(true);
        },
      ),
    );
  });

  test('never throws and never calls ready what it could not read', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.string(), fc.stringMatching(/^[0-9A-FOIl :>]{0,40}$/)), { maxLength: 6 }),
        (lines) => {
          const reading = readReadiness(lines.join('\n'));
          const { verdict } = stationVerdict(reading, { place: 'US', modelYear: 2010 });
          if (reading.modules.length === 0) expect(verdict).toBe('ask');
          if (reading.faults.some(({ kind }) => kind === 'broken')) expect(verdict).not.toBe('ready');
        },
      ),
      { numRuns: 500 },
    );
  });

  test('a reply cut anywhere is told as cut, never half read', () => {
    fc.assert(
      fc.property(four, fc.integer({ min: 1, max: 11 }), (bytes, cut) => {
        const whole = hex([0x41, 0x01, ...bytes], '');
        const reading = readinessFromHex(whole.slice(0, Math.max(2, 12 - cut)));
        expect(reading.modules).toEqual([]);
        if (12 - cut > 2) expect(reading.faults).toHaveLength(1);
      }),
    );
  });
});

const aCode = fc
  .tuple(
    fc.integer({ min: 1, max: 0xffff }).map(codeOf),
    fc.option(fc.constantFrom('00', '54', '76', '13'), { nil: null }),
  )
  .map(([base, failureType]) => ({ base, failureType }))
  .filter(({ base }) => (base.slice(1).match(/\d/g) ?? []).length >= 2);
const noise = fc.constantFrom(
  'No faults',
  'km 123456',
  'Battery 12.4 V',
  'Part 5Q0-907-530-AB',
  'page 2 of 7',
  '',
  '----',
  'CALID 37805-5AA-A650',
  'Öl °C 90',
  'B2B',
  'PO BOX',
  'CVN 1A2B3C4D',
);

describe('pasted text', () => {
  test('gives the same codes however its lines are shuffled and whatever stands between them', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(aCode, { selector: formatCode, maxLength: 12 }),
        fc.array(noise, { maxLength: 12 }),
        fc.infiniteStream(fc.nat()),
        (codes, between, picks) => {
          const lines = [...codes.map((code) => `  ${formatCode(code)}  some fault`), ...between];
          const shuffled = lines
            .map((line) => [picks.next().value as number, line] as const)
            .sort((a, b) => a[0] - b[0]);
          const found = findCodes(shuffled.map(([, line]) => line).join('\r\n'));
          expect(found.codes.map(({ code }) => code).sort()).toEqual(codes.map(formatCode).sort());
          expect(found.maybe).toEqual([]);
        },
      ),
    );
  });

  test('letters read for figures are suggested, with the code that was meant, and never taken', () => {
    const swaps: Record<string, string> = { '0': 'O', '1': 'I' };
    fc.assert(
      fc.property(aCode, fc.integer({ min: 1, max: 4 }), ({ base }, at) => {
        const swap = swaps[base.charAt(at)];
        if (swap === undefined) return;
        const typed = base.slice(0, at) + swap + base.slice(at + 1);
        const { codes, maybe } = findCodes(`x ${typed} y`);
        expect(codes).toEqual([]);
        if ((typed.slice(1).match(/\d/g) ?? []).length >= 2)
          expect(maybe).toEqual([
            { typed, code: base, because: `has ${swap} for ${base.charAt(at)}: read by eye before it counts`, line: 1 },
          ]);
      }),
    );
  });

  test('a code mentioned again adds nothing but its count', () => {
    fc.assert(
      fc.property(aCode, fc.integer({ min: 1, max: 9 }), (code, times) => {
        const { codes } = findCodes(`${formatCode(code)}, `.repeat(times));
        expect(codes).toHaveLength(1);
        expect(codes[0]).toMatchObject({ ...code, count: times });
      }),
    );
  });

  // Random letters, figures and signs; a fixed seed, so that a failure can be had again.
  const junk = (size: number): string => {
    const letters =
      'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz     \t\n\n-:;,./|()[]{}#$%&*+=\\"\'_~^@!?éß漢';
    const out: string[] = [];
    for (let i = 0, seed = 7; i < size; i++) {
      seed = (Math.imul(seed, 1_103_515_245) + 12_345) >>> 0;
      out.push(letters.charAt((seed >>> 8) % letters.length));
    }
    return out.join('');
  };

  test('survives 1 MB of junk: the codes in it are found, and no others', () => {
    const block = junk(1_000_000);
    expect(findCodes(block).codes).toEqual([]);
    const hidden = ['P0507-00', 'C0529-54', 'U0100', 'B142E-78'];
    const cut = hidden.map((code, i) => `${block.slice(i * 250_000, (i + 1) * 250_000)}\n${code}\n`).join('');
    expect(findCodes(cut).codes.map(({ code }) => code)).toEqual(hidden);
  });

  test.each([
    'P',
    'P0',
    'P0507-',
    ' P 05',
    '1-',
    'ABS ',
    'Module:  ',
    'module: module: ',
    'O0O0',
    '7E8 ',
    'P0507 ',
    '(',
    'status: ',
    '1G4AH59H45G118341',
    'transmission control ',
  ])('of one line of 4 MB of %j: what it keeps does not grow with it', (piece) => {
    const { codes, maybe } = findCodes(piece.repeat(4_000_000 / piece.length));
    expect(codes.length).toBeLessThanOrEqual(1);
    expect(maybe.length).toBeLessThanOrEqual(MOST_MAYBE);
  });
});

describe('before against after', () => {
  const seen = fc
    .uniqueArray(aCode, { selector: ({ base }) => base, maxLength: 8 })
    .map((codes) => codes.map((code): SeenCode => ({ code: formatCode(code) })));

  test('every code of either side stands once; sets decide what is gone, there and new', () => {
    fc.assert(
      fc.property(seen, seen, (before, after) => {
        const { codes, counts, unexplained } = compareCodes({ before, after, book: codeBook });
        const bases = (list: readonly SeenCode[]): Set<string> => new Set(list.map(({ code }) => code.slice(0, 5)));
        // One failure type a base on each side: two that differ, both told, are two faults.
        const same = (a: SeenCode, b: SeenCode): boolean => {
          const [x, y] = [a.code.slice(6), b.code.slice(6)];
          return (
            a.code.slice(0, 5) === b.code.slice(0, 5) && (x === y || ['', '00'].includes(x) || ['', '00'].includes(y))
          );
        };
        const stays = after.filter((now) => before.some((was) => same(was, now))).length;
        expect(counts).toEqual({ gone: before.length - stays, stays, new: after.length - stays, there: 0 });
        expect(bases(codes)).toEqual(new Set([...bases(before), ...bases(after)]));
        expect(new Set(unexplained)).toEqual(new Set(after.map(({ code }) => code)));
      }),
    );
  });

  test('the order of the readings is irrelevant, and equal readings have nothing gone or new', () => {
    fc.assert(
      fc.property(seen, seen, (before, after) => {
        const facts = { before, after, book: codeBook };
        expect(compareCodes({ ...facts, before: [...before].reverse(), after: [...after].reverse() })).toEqual(
          compareCodes(facts),
        );
        expect(compareCodes({ before, after: before, book: codeBook }).counts).toMatchObject({ gone: 0, new: 0 });
      }),
    );
  });
});
