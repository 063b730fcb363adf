import type { Rulebook } from '../../rulebook/rulebook.ts';
import { clearedLately, wayText } from '../../scan/cleared.ts';
import type { Counters } from '../../scan/readiness.ts';
import type { Sight } from '../sight.ts';
import type { Job, Mark, ReadinessRead } from '../state.ts';

/** When codes were last cleared on this job, as far as somebody said so. */
export interface Cleared extends Mark {
  /** The step that did it; left out where it was said by itself. */
  readonly title?: string;
}

export function lastCleared({ items, job }: Pick<Sight, 'items' | 'job'>, rulebook: Rulebook): Cleared | undefined {
  const byStep = items.flatMap(({ followUp, title, stage, record }): Cleared[] =>
    stage === 'took' && record?.took && clears(followUp, rulebook) ? [{ ...record.took, title }] : [],
  );
  return [...byStep, ...(job.cleared ? [job.cleared] : [])].toSorted((a, b) => b.seq - a.seq)[0];
}

function clears(followUp: string, { followUps }: Rulebook): boolean {
  const does = followUps.get(followUp)?.text.does ?? [];
  return does.some(({ part, did }) => part === 'self-test-memory' && did === 'cleaned');
}

// What a car can have done since then at the most: common practice, no source. The clocks of tablets differ by minutes.
const SLACK_MINUTES = 15;
const KM_AN_HOUR = 150;
const MINUTES_A_WARM_UP = 20;

/**
 * Where the counters of the car (SAE J1979 PIDs $30, $31, $4E: warm-ups, way and time since codes were cleared) and the
 * record do not agree on when that was. Sentences; none where they do, or where no counter was read.
 */
export function clearingDoubts(
  read: ReadinessRead,
  cleared: Cleared | undefined,
  { supplyLost, units }: { readonly supplyLost: boolean; readonly units: Job['units'] },
): string[] {
  const { counters } = read;
  if (!counters) return [];
  const told: Counters = Object.fromEntries(Object.entries(counters).filter(([, value]) => value !== undefined));
  const since = cleared && cleared.seq < read.seq ? cleared : undefined;
  const { lately, because } = clearedLately(told, units);
  if (!since) {
    if (!lately || supplyLost) return [];
    return [
      `the car says that codes were cleared a short while ago (${because}), and nobody here says so: what was there then is gone, so ask who had it before`,
    ];
  }
  const minutes = Math.max(0, (Date.parse(read.at) - Date.parse(since.at)) / 60_000) + SLACK_MINUTES;
  const more = [
    ...over(told.minutes, minutes, (n) => `${n} min of engine running`),
    ...over(told.km, (minutes / 60) * KM_AN_HOUR, (n) => wayText(n, units)),
    ...over(told.warmUps, 1 + minutes / MINUTES_A_WARM_UP, (n) => `${n} warm-ups`),
  ];
  if (more.length === 0) return [];
  const what = since.title ? `${since.title} took` : 'codes were cleared';
  return [
    `${what} by ${since.by}, and yet the car counts ${more.join(' and ')} since codes were cleared, more than fits in between: the module that was read was not cleared`,
  ];
}

function over(value: number | undefined, most: number, text: (value: number) => string): string[] {
  return value !== undefined && value > most ? [text(value)] : [];
}
