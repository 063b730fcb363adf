import { CONTINUOUS, type Ignition, MONITOR_IDS, type MonitorId } from './monitors.ts';
import { type ModuleStatus, type Readiness, readinessOf } from './readiness.ts';
import type { ReplyFault } from './reply.ts';

/** How people and tools call the tests. First match wins, so the longer word stands first. From memory. */
const NAMES: readonly (readonly [MonitorId, RegExp])[] = [
  ['misfire', /misfire/],
  ['fuel-system', /fuel (?:system|trim)/],
  ['components', /component|\bccm\b/],
  ['nmhc-catalyst', /nmhc|hydrocarbon/],
  ['heated-catalyst', /heated cat|cat\w* heat/],
  ['nox-scr', /nox|scr\b|nitrogen/],
  ['pm-filter', /\bpm\b|\bdpf\b|particulate|soot filter/],
  ['catalyst', /\bcat/],
  ['evap', /evap|vapou?r/],
  ['secondary-air', /second\w* air|air inj|\bair\b(?! con)/],
  ['reserved-or-filter', /\ba\/?c\b|refrigerant|\bgpf\b|reserved/],
  ['oxygen-sensor-heater', /(?:o2s?|ho2s|oxygen|lambda)\b.{0,10}heat|heat.{0,8}(?:o2|oxygen|lambda)|\bhtr\b/],
  ['exhaust-sensor', /exhaust.{0,5} sensor|\begs\b/],
  ['oxygen-sensor', /\bo2s?\b|\bho2s\b|oxygen|lambda/],
  ['boost', /boost|turbo/],
  ['egr-vvt', /egr|recirculation|\bvvt\b/],
];
const COMPRESSION_ONLY: readonly MonitorId[] = ['nmhc-catalyst', 'nox-scr', 'boost', 'exhaust-sensor', 'pm-filter'];
const SPARK_ONLY: readonly MonitorId[] = [
  'catalyst',
  'heated-catalyst',
  'evap',
  'secondary-air',
  'oxygen-sensor',
  'oxygen-sensor-heater',
  'reserved-or-filter',
];

export type Tick = 'complete' | 'not-complete' | 'not-fitted';

export interface Ticks {
  readonly tests: Readonly<Partial<Record<MonitorId, Tick>>>;
  readonly mil?: boolean;
  readonly count?: number;
  /** Left out: read from the tests, spark where they do not tell. */
  readonly ignition?: Ignition;
  readonly module?: string | null;
}

/** Readiness as ticked on a screen or read off a tool by eye. */
export function readinessFromTicks(ticks: Ticks): Readiness {
  const { tests, mil, count } = ticks;
  const doubts = [
    'typed, not read from the car',
    ...(mil === undefined ? ['nobody said whether the lamp is commanded on'] : []),
  ];
  const status: ModuleStatus = {
    module: ticks.module ?? null,
    mil: mil ?? false,
    count: count ?? 0,
    ignition: ticks.ignition ?? ignitionOf(Object.keys(tests) as MonitorId[]),
    monitors: MONITOR_IDS.flatMap((id) => {
      const tick = tests[id];
      if (!tick || tick === 'not-fitted') return [];
      return [{ id, continuous: (CONTINUOUS as readonly string[]).includes(id), complete: tick === 'complete' }];
    }),
  };
  return readinessOf([status], { doubts });
}

/** Collects what lines or rows say, for one module. */
export class Typed {
  private readonly tests: Partial<Record<MonitorId, Tick>> = {};
  private readonly faults: ReplyFault[] = [];
  private mil: boolean | undefined;
  private count: number | undefined;
  seen = false;

  line(text: string, line: number): void {
    if (text.trim() === '') return;
    const words = text.toLowerCase();
    const lamp = /(?:\bmil\b|check[- ]engine|malfunction indicator|\blamp\b)\D{0,24}?\b(on|off|lit|yes|no)\b/.exec(
      words,
    )?.[1];
    if (lamp) this.mil = lamp === 'on' || lamp === 'lit' || lamp === 'yes';
    const count = /(?:codes?|dtcs?)\b(?: count| stored)?\s{0,3}[:=]?\s{0,3}(\d{1,3})\b/.exec(words)?.[1];
    if (count) this.count = Number(count);
    if (lamp || count) this.seen = true;
    else this.test(words, words, text, line);
  }

  test(name: string, state: string, text: string, line: number, supported = ''): void {
    const id = NAMES.find(([, pattern]) => pattern.test(name))?.[0];
    if (!id) return;
    const tick = /^(?:no|n|0|false)$/.test(supported) ? 'not-fitted' : tickOf(state);
    if (!tick) this.fault(line, text, 'names a self-test, but not its state', 'ready, not ready or not fitted');
    else {
      if (this.tests[id] && this.tests[id] !== tick)
        this.fault(line, text, `says otherwise of a test that stood above`);
      // The worse one counts: nothing is called ready on a contradiction.
      this.tests[id] = this.tests[id] === 'not-complete' ? 'not-complete' : tick;
      this.seen = true;
    }
  }

  result(module: string | null = null): Readiness {
    const { tests, mil, count } = this;
    const ticks = { tests, module, ...(mil === undefined ? {} : { mil }), ...(count === undefined ? {} : { count }) };
    const read = readinessFromTicks(ticks);
    return { ...read, faults: this.faults };
  }

  private fault(line: number, text: string, message: string, hint?: string): void {
    this.faults.push({ line, text: text.trim().slice(0, 80), message, kind: 'broken', ...(hint ? { hint } : {}) });
  }
}

function tickOf(state: string): Tick | undefined {
  if (/not (?:fitted|supported|available|applicable|equipped)|unsupported|\bn\/?a\b|\bns\b|☐?\bnone\b/.test(state))
    return 'not-fitted';
  if (
    /not (?:yet )?(?:ready|complete|done|run)|incomplete|\bincmp\b|not-complete|not-ready|\bno\b|☐|\[ \]|✗|\binc\b/.test(
      state,
    )
  )
    return 'not-complete';
  if (/ready|complete|\bcmp\b|\bdone\b|passed|\bok\b|\byes\b|☑|✓|✔|\[x\]/.test(state)) return 'complete';
  return undefined;
}

function ignitionOf(ids: readonly MonitorId[]): Ignition {
  return ids.some((id) => COMPRESSION_ONLY.includes(id)) && !ids.some((id) => SPARK_ONLY.includes(id))
    ? 'compression'
    : 'spark';
}
