import { describe, expect, test } from 'vitest';
import { CONTINUOUS, monitorStatus } from '../../../src/scan/monitors.ts';
import { incomplete, readinessFromHex } from '../../../src/scan/readiness.ts';

/**
 * SAE J1979 / ISO 15031-5, service $01 PID $01. The standard is sold: the layout was read in two open-source decoders;
 * the replies below stand in open-source test suites with the reading given here, and were taken apart again by hand.
 */
const ALL = 'misfire fuel-system components';
// biome-ignore format: a reply a line
const replies: [bytes: string, lamp: string, count: number, ignition: string, continuous: string, open: string, fitted: string, incomplete: string][] = [
  // 83 = 1000 0011: lamp, 3 codes. 07 = three continuous, none open. FF = all eight fitted.
  ['83 07 FF 00', 'on', 3, 'spark', ALL, '', 'catalyst heated-catalyst evap secondary-air reserved-or-filter oxygen-sensor oxygen-sensor-heater egr-vvt', ''],
  // 79 = 0111 1001: misfire fitted and open; bit 3 compression; the open bits of fuel and components speak of tests not there.
  ['00 79 03 03', 'off', 0, 'compression', 'misfire', 'misfire', 'nmhc-catalyst nox-scr', 'nmhc-catalyst nox-scr'],
  // 65 = 0110 0101: bits 0, 2, 5, 6. 04 = bit 2.
  ['81 07 65 04', 'on', 1, 'spark', ALL, '', 'catalyst evap oxygen-sensor oxygen-sensor-heater', 'evap'],
  ['00 07 65 00', 'off', 0, 'spark', ALL, '', 'catalyst evap oxygen-sensor oxygen-sensor-heater', ''],
  // E5 = 1110 0101: bits 0, 2, 5, 6, 7.
  ['00 07 E5 00', 'off', 0, 'spark', ALL, '', 'catalyst evap oxygen-sensor oxygen-sensor-heater egr-vvt', ''],
  ['80 07 E1 00', 'on', 0, 'spark', ALL, '', 'catalyst oxygen-sensor oxygen-sensor-heater egr-vvt', ''],
  ['00 07 E1 E1', 'off', 0, 'spark', ALL, '', 'catalyst oxygen-sensor oxygen-sensor-heater egr-vvt', 'catalyst oxygen-sensor oxygen-sensor-heater egr-vvt'],
  // 0F = compression and three continuous. 41 = bits 0 and 6.
  ['00 0F 41 00', 'off', 0, 'compression', ALL, '', 'nmhc-catalyst pm-filter', ''],
  ['00 04 00 00', 'off', 0, 'spark', 'components', '', '', ''],
  ['00 07 01 01', 'off', 0, 'spark', ALL, '', 'catalyst', 'catalyst'],
];

describe('PID $01 (SAE J1979 / ISO 15031-5; replies and readings from open-source tests)', () => {
  test.each(replies)('%s', (bytes, lamp, count, ignition, continuous, open, fitted, notComplete) => {
    const reading = readinessFromHex(`41 01 ${bytes}`);
    const names = (want: (m: (typeof reading.monitors)[number]) => boolean): string =>
      reading.monitors
        .filter(want)
        .map(({ id }) => id)
        .join(' ');
    expect(reading).toMatchObject({ mil: lamp === 'on', count, ignition, faults: [] });
    expect(names((m) => m.continuous)).toBe(continuous);
    expect(names((m) => m.continuous && !m.complete)).toBe(open);
    expect(names((m) => !m.continuous)).toBe(fitted);
    expect(incomplete(reading).join(' ')).toBe(notComplete);
  });

  test.each([
    // Both lamps and counts: 81 = lamp and 1 code; 01 = 1 code; 1 + 1 = 2.
    [['7E8 06 41 01 81 07 E5 00', '7E9 06 41 01 01 00 00 00'], true, 2],
    [['41 01 00 04 00 00', '41 01 81 07 65 04'], true, 1],
  ])('%j: lamp if any says so, counts added', (lines, mil, count) => {
    const reading = readinessFromHex(lines.join('\n'));
    expect(reading).toMatchObject({ mil, count });
    expect(reading.modules).toHaveLength(2);
  });
});

describe('PID $41 (layout from memory)', () => {
  test.each([
    ['00 07 E5 00', ''],
    // 85 = 1000 0101: bits 0, 2, 7.
    ['00 07 E5 85', 'catalyst evap egr-vvt'],
  ])('%s: open on this trip: %s', (bytes, open) => {
    const { monitors, mil, count } = monitorStatus(
      bytes.split(' ').map((b) => Number.parseInt(b, 16)),
      true,
    );
    expect(
      monitors
        .filter((m) => !m.complete)
        .map(({ id }) => id)
        .join(' '),
    ).toBe(open);
    expect(monitors.map(({ id }) => id)).toEqual([
      ...CONTINUOUS,
      'catalyst',
      'evap',
      'oxygen-sensor',
      'oxygen-sensor-heater',
      'egr-vvt',
    ]);
    expect({ mil, count }).toEqual({ mil: false, count: 0 });
  });
});

// SAE J1979 PIDs $30, $31, $4E, 256A + B; names, bytes and units read in public tables.
test.each([
  ['41 31 01 F4', { km: 500 }], // 1 x 256 + 244
  ['41 30 05', { warmUps: 5 }],
  ['41 4E 00 78', { minutes: 120 }], // 0 x 256 + 120
])('%s: %j since codes were cleared', (reply, counters) => {
  expect(readinessFromHex(reply).counters).toEqual(counters);
});
