import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { composeDrive, type Demand, legCard } from '../src/drive/compose.ts';

/** Legs as sets: steps in order of name, legs by their first. */
const byFirst = (legs: readonly (readonly string[])[]) =>
  legs.map((leg) => [...leg].sort()).sort((a, b) => (String(a[0]) < String(b[0]) ? -1 : 1));
const serves = (demands: Demand[], before: [string, string][] = []) =>
  composeDrive(demands, before).legs.map((leg) => leg.serves);

describe('one drive for several steps', () => {
  const cases: { says: string; demands: Demand[]; before?: [string, string][]; legs: string[][]; minutes: number }[] = [
    {
      says: 'demands with a common speed share a leg as long as the longest asks',
      demands: [
        { step: 'camera', drive: { 'from-km/h': 40, minutes: 10, straight: true, 'lane-markings': true } },
        { step: 'tyres', drive: { 'from-km/h': 25, minutes: 15 } },
      ],
      legs: [['camera', 'tyres']],
      minutes: 15,
    },
    {
      says: 'no common speed: two legs',
      demands: [
        { step: 'fast', drive: { 'from-km/h': 90, minutes: 4 } },
        { step: 'slow', drive: { 'to-km/h': 50, minutes: 3 } },
      ],
      legs: [['fast'], ['slow']],
      minutes: 7,
    },
    {
      says: 'what comes before another never shares with it, and stands first',
      demands: [
        { step: 'camera', drive: { minutes: 10 } },
        { step: 'zero', drive: { minutes: 2 } },
      ],
      before: [['zero', 'camera']],
      legs: [['zero'], ['camera']],
      minutes: 12,
    },
    {
      says: 'steady speed does not go with coast-downs, nor straight with full lock',
      demands: [
        { step: 'cat', drive: { minutes: 5, steady: true } },
        { step: 'crank', drive: { 'coast-downs': 3, minutes: 5 } },
        { step: 'lock', drive: { 'full-lock': true, minutes: 1 } },
        { step: 'line', drive: { straight: true, minutes: 1 } },
      ],
      legs: [
        ['cat', 'line'],
        ['crank', 'lock'],
      ],
      minutes: 10,
    },
    {
      says: 'a distance at a speed takes its time',
      demands: [{ step: 'idle', drive: { km: 16, 'from-km/h': 48 } }],
      legs: [['idle']],
      minutes: 20,
    },
    { says: 'nothing to drive', demands: [], legs: [], minutes: 0 },
  ];
  test.each(cases)('$says', ({ demands, before, legs, minutes }) => {
    const drive = composeDrive(demands, before);
    expect(byFirst(drive.legs.map((leg) => leg.serves))).toEqual(byFirst(legs));
    if (before) expect(serves(demands, before)).toEqual(legs);
    expect(drive.minutes).toBeCloseTo(minutes);
  });
  test('the card is short lines with miles beside kilometres (1 mile = 1.609344 km)', () => {
    const [leg] = composeDrive([
      {
        step: 'camera',
        drive: { 'from-km/h': 40, 'to-km/h': 90, minutes: 10, straight: true, 'lane-markings': true, stops: 1 },
      },
    ]).legs;
    expect(legCard(leg as NonNullable<typeof leg>)).toEqual([
      'between 40 km/h (25 mph) and 90 km/h (56 mph)',
      'for 10 min',
      'straight, clear lane markings',
      '1 full stop',
    ]);
  });
});

describe('against every way to share (brute force)', () => {
  const demand = fc.record({
    low: fc.integer({ min: 0, max: 6 }),
    width: fc.integer({ min: 0, max: 3 }),
    minutes: fc.integer({ min: 1, max: 9 }),
  });
  const pairs = fc.array(fc.tuple(fc.nat(4), fc.nat(4)), { maxLength: 4 });
  test('least minutes, every step served once, order kept', () => {
    fc.assert(
      fc.property(fc.array(demand, { minLength: 1, maxLength: 5 }), pairs, (rows, edges) => {
        const demands = rows.map(
          (r, i): Demand => ({
            step: `s${i}`,
            drive: { 'from-km/h': r.low * 10, 'to-km/h': (r.low + r.width) * 10, minutes: r.minutes },
          }),
        );
        const before = edges
          .filter(([a, b]) => a < b && b < rows.length)
          .map(([a, b]): [string, string] => [`s${a}`, `s${b}`]);
        const drive = composeDrive(demands, before);
        expect(drive.legs.flatMap((l) => l.serves).sort()).toEqual(demands.map((d) => d.step));
        const legOf = (step: string) => drive.legs.findIndex((l) => l.serves.includes(step));
        for (const [a, b] of before) expect(legOf(a)).toBeLessThan(legOf(b));
        expect(drive.minutes).toBe(
          leastByBruteForce(
            rows,
            before.map(([a, b]) => [Number(a.slice(1)), Number(b.slice(1))]),
          ),
        );
      }),
    );
  });
});

/** Tries every assignment of steps to numbered legs. */
function leastByBruteForce(rows: { low: number; width: number; minutes: number }[], before: number[][]): number {
  let best = Infinity;
  const count = rows.length;
  for (let code = 0; code < count ** count; code++) {
    const leg = rows.map((_, i) => Math.floor(code / count ** i) % count);
    if (before.some(([a, b]) => (leg[a as number] as number) >= (leg[b as number] as number))) continue;
    let minutes = 0;
    for (let l = 0; l < count; l++) {
      const inside = rows.filter((_, i) => leg[i] === l);
      if (inside.length === 0) continue;
      if (Math.max(...inside.map((r) => r.low)) > Math.min(...inside.map((r) => r.low + r.width))) minutes = Infinity;
      minutes += Math.max(...inside.map((r) => r.minutes));
    }
    best = Math.min(best, minutes);
  }
  return best;
}
