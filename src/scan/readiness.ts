import { type Ignition, type Monitor, type MonitorId, monitorStatus, type MonitorStatus } from './monitors.ts';
import { hex, readReplies, type Reply, type ReplyFault } from './reply.ts';
import { codesOf, type ReportedCode } from './reply-codes.ts';

/** Counters that start again when codes are cleared (SAE J1979 PIDs $30, $31, $4E) or the lamp comes on ($21, $4D). */
export interface Counters {
  readonly warmUps?: number;
  readonly km?: number;
  readonly minutes?: number;
  readonly kmWithLamp?: number;
  readonly minutesWithLamp?: number;
}

export interface ModuleStatus extends MonitorStatus {
  /** Address, or null where replies came without headers. */
  readonly module: string | null;
}

export interface Readiness {
  readonly modules: readonly ModuleStatus[];
  /** PID $41, by module: what can run and has run on this trip. */
  readonly trip: readonly ModuleStatus[];
  /** Lamp commanded on by any module. */
  readonly mil: boolean;
  /** Sum over the modules. */
  readonly count: number;
  /** Of the first module that has more than the continuous tests, else of the first; null without any. */
  readonly ignition: Ignition | null;
  /** Over all modules: complete only where every module that has the test says so. Continuous ones first. */
  readonly monitors: readonly Monitor[];
  /** Counters of the modules, the smallest of each. */
  readonly counters: Counters;
  readonly codes: readonly ReportedCode[];
  /** Whether permanent codes were asked for; an empty list is not the same as none asked. */
  readonly askedPermanent: boolean;
  readonly faults: readonly ReplyFault[];
  /** What makes the whole less than certain. */
  readonly doubts: readonly string[];
}

const COUNTERS: Readonly<Record<number, { key: keyof Counters; bytes: number }>> = {
  0x21: { key: 'kmWithLamp', bytes: 2 },
  0x30: { key: 'warmUps', bytes: 1 },
  0x31: { key: 'km', bytes: 2 },
  0x4d: { key: 'minutesWithLamp', bytes: 2 },
  0x4e: { key: 'minutes', bytes: 2 },
};

/** Readiness from hex replies to services $01, $03, $07, $0A, one a line, of one module or several. */
export function readinessFromHex(text: string): Readiness {
  const { replies, faults } = readReplies(text);
  const reading = new Reading([...faults]);
  for (const reply of replies) reading.take(reply);
  const { codes, lists } = codesOf(replies);
  return reading.result(codes, lists.includes('permanent'));
}

/** Readiness of modules that are already taken apart: typed ticks, a table. */
export function readinessOf(
  modules: readonly ModuleStatus[],
  more: Partial<Pick<Readiness, 'trip' | 'counters' | 'codes' | 'askedPermanent' | 'faults' | 'doubts'>> = {},
): Readiness {
  const all = modules.flatMap(({ monitors }) => monitors);
  const ids = [
    ...new Set([...all.filter((m) => m.continuous), ...all.filter((m) => !m.continuous)].map(({ id }) => id)),
  ];
  return {
    trip: [],
    counters: {},
    codes: [],
    askedPermanent: false,
    faults: [],
    doubts: [],
    ...more,
    modules,
    mil: modules.some(({ mil }) => mil),
    count: modules.reduce((sum, { count }) => sum + count, 0),
    ignition: (modules.find(({ monitors }) => monitors.some((m) => !m.continuous)) ?? modules[0])?.ignition ?? null,
    monitors: ids.map((id) => combined(id, all)),
  };
}

function combined(id: MonitorId, all: readonly Monitor[]): Monitor {
  const same = all.filter((m) => m.id === id);
  return { id, continuous: (same[0] as Monitor).continuous, complete: same.every(({ complete }) => complete) };
}

/** Tests that a station counts: fitted, not continuous, not complete. */
export function incomplete({ monitors }: Readiness): MonitorId[] {
  return monitors.filter((m) => !m.continuous && !m.complete).map(({ id }) => id);
}

class Reading {
  private readonly status = { 0x01: new Map<string, ModuleStatus>(), 0x41: new Map<string, ModuleStatus>() };
  private readonly counters: { -readonly [K in keyof Counters]: Counters[K] } = {};
  private readonly doubts = new Set<string>();

  constructor(private readonly faults: ReplyFault[]) {}

  take(reply: Reply): void {
    if (reply.service === 0x41) this.pids(reply);
    else if (![0x43, 0x47, 0x4a, 0x59].includes(reply.service))
      this.fault(
        reply,
        `is a reply to service $${hex(reply.service - 0x40)}, which says nothing of self-tests`,
        'other',
        'wanted: 41 01 and four bytes',
      );
    else if (reply.service !== 0x59 && !reply.exact && reply.data.length === 6)
      this.doubts.add('code lists without headers were read as three codes a reply, as the serial buses send them');
  }

  result(codes: readonly ReportedCode[], askedPermanent: boolean): Readiness {
    return readinessOf([...this.status[0x01].values()], {
      trip: [...this.status[0x41].values()],
      counters: this.counters,
      codes,
      askedPermanent,
      faults: [...this.faults].sort((a, b) => a.line - b.line),
      doubts: [...this.doubts],
    });
  }

  /** One reply may answer several PIDs, each followed by its bytes. */
  private pids(reply: Reply): void {
    for (let at = 0; at < reply.data.length; ) {
      const pid = reply.data[at] as number;
      const size = pid === 0x01 || pid === 0x41 ? 4 : COUNTERS[pid]?.bytes;
      if (size === undefined) {
        if (at === 0) this.fault(reply, `answers PID $${hex(pid)}, which says nothing of self-tests`, 'other');
        return;
      }
      const bytes = reply.data.slice(at + 1, at + 1 + size);
      if (bytes.length < size)
        return this.fault(reply, `is cut short: PID $${hex(pid)} has ${size} bytes, here are ${bytes.length}`);
      this.pid(reply, pid, bytes);
      at += 1 + size;
    }
  }

  private pid(reply: Reply, pid: number, bytes: readonly number[]): void {
    if (pid === 0x01 || pid === 0x41) return this.monitors(reply, pid, bytes);
    const { key } = COUNTERS[pid] as { key: keyof Counters };
    const value = bytes.reduce((sum, byte) => sum * 256 + byte, 0);
    this.counters[key] = Math.min(value, this.counters[key] ?? value);
  }

  private monitors(reply: Reply, pid: 0x01 | 0x41, bytes: readonly number[]): void {
    const known = this.status[pid];
    const status = { ...monitorStatus(bytes, pid === 0x41), module: reply.module };
    if ((bytes[1] as number) & 0x80) this.doubts.add(`line ${reply.line} sets a bit that the standard keeps at 0`);
    // Without headers two replies may be two modules or one asked twice; equal ones change nothing either way.
    const key = reply.module ?? bytes.join();
    if (reply.module !== null && known.has(key) && JSON.stringify(known.get(key)) !== JSON.stringify(status))
      this.doubts.add(`${reply.module} answered twice with different bytes; the later one counts`);
    known.set(key, status);
    if (reply.module === null && known.size > 1)
      this.doubts.add(
        'several replies without headers were read as several modules; two readings of one module look the same',
      );
  }

  private fault(
    { line, service, data }: Reply,
    message: string,
    kind: ReplyFault['kind'] = 'broken',
    hint?: string,
  ): void {
    const text = [service, ...data].map(hex).join(' ').slice(0, 80);
    this.faults.push({ line, text, message, kind, ...(hint ? { hint } : {}) });
  }
}
