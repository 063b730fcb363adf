import { readFileSync } from 'node:fs';
import type { Ignition, MonitorId } from '../src/scan/monitors.ts';
import { type Readiness, readinessOf } from '../src/scan/readiness.ts';
import { CodesFile } from '../src/rulebook/code-book.ts';

export const codeBook = CodesFile.parse(
  JSON.parse(readFileSync(new URL('../rules/codes.json', import.meta.url), 'utf8')),
);

const SPARK: readonly MonitorId[] = ['catalyst', 'evap', 'oxygen-sensor', 'oxygen-sensor-heater', 'egr-vvt'];
const COMPRESSION: readonly MonitorId[] = [
  'nmhc-catalyst',
  'nox-scr',
  'boost',
  'exhaust-sensor',
  'pm-filter',
  'egr-vvt',
];

/** A reading of one module with an ordinary set of self-tests, all complete but those named. */
export function withOpen(
  open: readonly MonitorId[],
  lamp: { mil?: boolean; count?: number } = {},
  ignition: Ignition = 'spark',
): Readiness {
  const fitted = ignition === 'spark' ? SPARK : COMPRESSION;
  const others = [...open.filter((id) => !fitted.includes(id)), ...fitted];
  return readinessOf([
    {
      module: '7E8',
      mil: lamp.mil ?? false,
      count: lamp.count ?? 0,
      ignition,
      monitors: [
        { id: 'misfire', continuous: true, complete: true },
        ...others.map((id) => ({ id, continuous: false, complete: !open.includes(id) })),
      ],
    },
  ]);
}
