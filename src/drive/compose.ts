import type { Drive } from '../rulebook/schema.ts';

/** What one road step asks of the drive. */
export interface Demand {
  readonly step: string;
  readonly drive: Drive;
}

/** A stretch that serves several steps at once: km/h, minutes, km. */
export interface Leg {
  readonly serves: readonly string[];
  readonly from?: number;
  readonly to?: number;
  readonly minutes: number;
  readonly km?: number;
  readonly straight: boolean;
  readonly laneMarkings: boolean;
  readonly daylight: boolean;
  readonly steady: boolean;
  readonly fullLock: boolean;
  readonly stops: number;
  readonly coastDowns: number;
  readonly notes: readonly string[];
}

export interface ComposedDrive {
  readonly legs: readonly Leg[];
  readonly minutes: number;
  /** No other sharing of legs takes less time; false where there were too many steps to try all. */
  readonly exact: boolean;
}

const MOST_EXACT = 10;

/**
 * One drive for a run of road steps: steps whose demands can hold at the same time share a leg, and one that comes
 * before another never shares with it. Least minutes, then fewest legs.
 */
export function composeDrive(
  demands: readonly Demand[],
  before: readonly (readonly [string, string])[] = [],
): ComposedDrive {
  const sorted = [...demands].sort((a, b) => (a.step < b.step ? -1 : 1));
  const forerunners = sorted.map((d) =>
    sorted.reduce(
      (mask, other, i) => (before.some(([a, b]) => a === other.step && b === d.step) ? mask | (1 << i) : mask),
      0,
    ),
  );
  const legs = sorted.length <= MOST_EXACT ? shareExactly(sorted, forerunners) : inTurn(sorted, forerunners);
  return { legs, minutes: legs.reduce((sum, leg) => sum + leg.minutes, 0), exact: sorted.length <= MOST_EXACT };
}

interface Found {
  readonly minutes: number;
  readonly count: number;
  readonly leg: Leg | undefined;
  readonly rest: number;
}

/** Cheapest way to serve every subset of steps that is closed under "comes before", from the back. */
function shareExactly(demands: readonly Demand[], forerunners: readonly number[]): Leg[] {
  const all = (1 << demands.length) - 1;
  const best = new Map<number, Found>([[all, { minutes: 0, count: 0, leg: undefined, rest: all }]]);
  for (let done = all - 1; done >= 0; done--) {
    const free = demands
      .map((_, i) => i)
      .filter((i) => !(done & (1 << i)) && ((forerunners[i] as number) & ~done) === 0);
    for (const group of groups(demands, free)) {
      const after = done | group.mask;
      const rest = best.get(after);
      if (!rest) continue;
      const [minutes, count] = [rest.minutes + group.leg.minutes, rest.count + 1];
      const had = best.get(done);
      if (!had || minutes < had.minutes || (minutes === had.minutes && count < had.count))
        best.set(done, { minutes, count, leg: group.leg, rest: after });
    }
  }
  const legs: Leg[] = [];
  for (let at = best.get(0); at?.leg; at = best.get(at.rest)) legs.push(at.leg);
  return legs;
}

/** Every set of free steps that one leg can serve. */
function groups(demands: readonly Demand[], free: readonly number[]): { mask: number; leg: Leg }[] {
  const found: { mask: number; leg: Leg }[] = [];
  const extend = (from: number, mask: number, leg: Leg | undefined): void => {
    for (let i = from; i < free.length; i++) {
      const at = free[i] as number;
      const own = legOf(demands[at] as Demand);
      const joined = leg ? join(leg, own) : own;
      if (!joined) continue;
      found.push({ mask: mask | (1 << at), leg: joined });
      extend(i + 1, mask | (1 << at), joined);
    }
  };
  extend(0, 0, undefined);
  return found;
}

/** Many steps: each joins the last leg where it may, else begins one. */
function inTurn(demands: readonly Demand[], forerunners: readonly number[]): Leg[] {
  const legs: Leg[] = [];
  let done = 0;
  while (done !== (1 << demands.length) - 1) {
    let leg: Leg | undefined;
    let taken = 0;
    demands.forEach((demand, i) => {
      if (done & (1 << i) || (forerunners[i] as number) & ~done) return;
      const joined: Leg | undefined = leg ? join(leg, legOf(demand)) : legOf(demand);
      if (joined) [leg, taken] = [joined, taken | (1 << i)];
    });
    legs.push(leg as unknown as Leg);
    done |= taken;
  }
  return legs;
}

function legOf({ step, drive }: Demand): Leg {
  const slowest = drive['from-km/h'] ?? drive['to-km/h'];
  const stated = (drive.minutes ?? 0) + (drive.seconds ?? 0) / 60;
  return {
    serves: [step],
    ...(drive['from-km/h'] === undefined ? {} : { from: drive['from-km/h'] }),
    ...(drive['to-km/h'] === undefined ? {} : { to: drive['to-km/h'] }),
    minutes: stated > 0 || drive.km === undefined || !slowest ? stated : (drive.km / slowest) * 60,
    ...(drive.km === undefined ? {} : { km: drive.km }),
    straight: drive.straight ?? false,
    laneMarkings: drive['lane-markings'] ?? false,
    daylight: drive.daylight ?? false,
    steady: drive.steady ?? false,
    fullLock: drive['full-lock'] ?? false,
    stops: drive.stops ?? 0,
    coastDowns: drive['coast-downs'] ?? 0,
    notes: drive.text ? [drive.text] : [],
  };
}

/** Two demands at the same time; undefined where they can't be: no common speed, steady against stops or coast-downs, straight against full lock. */
function join(a: Leg, b: Leg): Leg | undefined {
  const from = most(a.from, b.from);
  const to = least(a.to, b.to);
  if (from !== undefined && to !== undefined && from > to) return undefined;
  const broken = a.stops + b.stops + a.coastDowns + b.coastDowns > 0;
  if ((a.steady || b.steady) && broken) return undefined;
  if ((a.straight && b.fullLock) || (b.straight && a.fullLock)) return undefined;
  const km = most(a.km, b.km);
  return {
    serves: [...a.serves, ...b.serves],
    ...(from === undefined ? {} : { from }),
    ...(to === undefined ? {} : { to }),
    minutes: Math.max(a.minutes, b.minutes),
    ...(km === undefined ? {} : { km }),
    straight: a.straight || b.straight,
    laneMarkings: a.laneMarkings || b.laneMarkings,
    daylight: a.daylight || b.daylight,
    steady: a.steady || b.steady,
    fullLock: a.fullLock || b.fullLock,
    stops: Math.max(a.stops, b.stops),
    coastDowns: Math.max(a.coastDowns, b.coastDowns),
    notes: [...new Set([...a.notes, ...b.notes])],
  };
}

function most(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.max(a, b);
}

function least(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.min(a, b);
}

/** A leg as a passenger reads it out: one short line for each thing to keep to. Miles per hour beside km/h. */
export function legCard(leg: Leg): string[] {
  const band = speedText(leg);
  const kept = [
    leg.straight && 'straight',
    leg.laneMarkings && 'clear lane markings',
    leg.daylight && 'daylight',
    leg.steady && 'steady speed',
  ]
    .filter(Boolean)
    .join(', ');
  const lines = [
    band,
    leg.minutes > 0 && `for ${timeText(leg.minutes)}`,
    leg.km !== undefined && `${leg.km} km (${Math.round(leg.km / KM_PER_MILE)} miles)`,
    kept,
  ];
  const deeds = [
    leg.stops > 0 && `${leg.stops} full ${leg.stops === 1 ? 'stop' : 'stops'}`,
    leg.coastDowns > 0 && `${leg.coastDowns} coast-downs, pedal released`,
    leg.fullLock && 'steering to both locks, at walking pace',
  ];
  return [...lines, ...deeds, ...leg.notes].filter((line): line is string => Boolean(line));
}

/** International mile: 1.609344 km exactly (yard and pound agreement, 1959). */
const KM_PER_MILE = 1.609344;

function speedText({ from, to }: Leg): string {
  const both = (kmh: number) => `${kmh} km/h (${Math.round(kmh / KM_PER_MILE)} mph)`;
  if (from !== undefined && to !== undefined)
    return from === to ? `at ${both(from)}` : `between ${both(from)} and ${both(to)}`;
  if (from !== undefined) return `at ${both(from)} or more`;
  return to === undefined ? 'normal driving' : `up to ${both(to)}`;
}

function timeText(minutes: number): string {
  return minutes < 1 ? `${Math.round(minutes * 60)} s` : `${Math.round(minutes * 10) / 10} min`;
}
