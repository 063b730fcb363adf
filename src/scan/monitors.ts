/** Self-tests ("monitors") as service $01 PID $01 and $41 report them. */

export const CONTINUOUS = ['misfire', 'fuel-system', 'components'] as const;
const SPARK = [
  'catalyst',
  'heated-catalyst',
  'evap',
  'secondary-air',
  // A/C refrigerant in early editions, the petrol particulate filter in later ones.
  'reserved-or-filter',
  'oxygen-sensor',
  'oxygen-sensor-heater',
  'egr-vvt',
] as const;
const COMPRESSION = [
  'nmhc-catalyst',
  'nox-scr',
  null,
  'boost',
  null,
  'exhaust-sensor',
  'pm-filter',
  'egr-vvt',
] as const;

export type MonitorId =
  | (typeof CONTINUOUS)[number]
  | (typeof SPARK)[number]
  | Exclude<(typeof COMPRESSION)[number], null>;
export type Ignition = 'spark' | 'compression';

export const MONITOR_TITLES: Readonly<Record<MonitorId, string>> = {
  misfire: 'misfire',
  'fuel-system': 'fuel system',
  components: 'components',
  catalyst: 'catalyst',
  'heated-catalyst': 'heated catalyst',
  evap: 'fuel vapour system',
  'secondary-air': 'secondary air',
  'reserved-or-filter': 'petrol particulate filter (A/C refrigerant on old cars)',
  'oxygen-sensor': 'oxygen sensors',
  'oxygen-sensor-heater': 'oxygen sensor heaters',
  'egr-vvt': 'exhaust gas recirculation or valve timing',
  'nmhc-catalyst': 'hydrocarbon catalyst',
  'nox-scr': 'nitrogen oxide aftertreatment',
  boost: 'boost pressure',
  'exhaust-sensor': 'exhaust gas sensor',
  'pm-filter': 'particulate filter',
};
export const MONITOR_IDS = Object.keys(MONITOR_TITLES) as MonitorId[];

/** Those beside the continuous ones, by the kind of ignition, in the order of the bits. */
export function monitorsOf(ignition: Ignition): MonitorId[] {
  return (ignition === 'spark' ? SPARK : COMPRESSION).filter((id) => id !== null);
}

export interface Monitor {
  readonly id: MonitorId;
  readonly continuous: boolean;
  /** For $01: fitted. For $41: can still run on this trip. A test that is neither complete nor fitted is not listed. */
  readonly complete: boolean;
}

export interface MonitorStatus {
  readonly mil: boolean;
  /** Confirmed emission codes in this module, 0 to 127. */
  readonly count: number;
  readonly ignition: Ignition;
  /** Those supported, in the order of the bits. */
  readonly monitors: readonly Monitor[];
}

/**
 * Bytes A to D of PID $01, or of PID $41 where `thisTrip` (its byte A is reserved, so lamp and count stay empty).
 * SAE J1979 / ISO 15031-5: the standard is sold; $01 was read in two open decoders that agree, $41 is from memory.
 * A "not complete" bit of a test that is not supported says nothing and is passed over.
 */
export function monitorStatus(bytes: readonly number[], thisTrip = false): MonitorStatus {
  const [a, b, c, d] = bytes;
  if (a === undefined || b === undefined || c === undefined || d === undefined || bytes.length !== 4)
    throw new RangeError(`monitor status has four bytes, not ${bytes.length}`);
  const ignition: Ignition = b & 0b1000 ? 'compression' : 'spark';
  const others: readonly (MonitorId | null)[] = ignition === 'spark' ? SPARK : COMPRESSION;
  const monitors = [
    ...CONTINUOUS.map((id, bit) => ({
      id,
      continuous: true,
      supported: b & (1 << bit),
      complete: !(b & (1 << (bit + 4))),
    })),
    ...others.flatMap((id, bit) =>
      id === null ? [] : [{ id, continuous: false, supported: c & (1 << bit), complete: !(d & (1 << bit)) }],
    ),
  ];
  return {
    mil: !thisTrip && a >= 128,
    count: thisTrip ? 0 : a & 0x7f,
    ignition,
    monitors: monitors
      .filter(({ supported }) => supported)
      .map(({ id, continuous, complete }) => ({ id, continuous, complete })),
  };
}
