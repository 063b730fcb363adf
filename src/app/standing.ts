import { sentence } from '../../components/sheet/time.ts';
import type { SeenItem } from '../job/sight.ts';
import type { Planned } from './plan.ts';

/** Where a car stands, as the bay sheet tells it. */
export interface Standing {
  /** held: it goes on only if somebody steps in; check: only the foreman is missing; ready: it may go. */
  readonly kind: 'written' | 'held' | 'goes' | 'check' | 'ready';
  /** Minutes until it can go if nobody stops; 0 where only a word is missing. */
  readonly minutes: number;
  /** What is said first, and what goes on behind it. */
  readonly head: string;
  readonly rest: string;
  /** Who had a hand in it last. */
  readonly who: string;
  /** When the owner was told that it can go, in milliseconds since 1970; and whether that is too early. */
  readonly promised?: { readonly time: number; readonly late: boolean };
}

const BY_FOREMAN = new Set(['unchecked', 'lamps', 'new-lamp']);

/** `here` = who has the hands on which of its steps just now; `now` in milliseconds since 1970. */
export function standingOf(
  planned: Planned,
  here: readonly { readonly step: string; readonly person: string }[],
  now: number,
): Standing {
  const standing = stands(planned, here);
  const { promised } = planned.job;
  if (!promised) return standing;
  const time = Date.parse(promised);
  return { ...standing, promised: { time, late: now + standing.minutes * 60_000 > time } };
}

function stands(planned: Planned, here: readonly { readonly step: string; readonly person: string }[]): Standing {
  const { faults, list, sight, record } = planned;
  const minutes = remaining(planned);
  const who = here.at(-1)?.person ?? (record ? (lastHand(planned) ?? '') : '');
  if (faults.length > 0) return { kind: 'held', minutes, head: 'Not understood.', rest: 'Look at its write-up.', who };
  const steps = list?.steps.length ?? 0;
  if (!sight || !record)
    return { kind: 'written', minutes, head: 'Written up.', rest: `${count(steps, 'step')} to come.`, who };
  const items = sight.items.filter((item) => item.kind !== 'undecided');
  const stuck = items.filter(({ stage }) => stage === 'stuck');
  const apart = sight.refusals.find(({ rule }) => rule === 'two-answers');
  if (apart) return { kind: 'held', minutes, head: 'Two answers.', rest: apart.text, who };
  if (stuck[0]) return { kind: 'held', minutes, head: 'Stuck.', rest: stuckText(stuck[0]), who };
  if (sight.refusals.length === 0)
    return { kind: 'ready', minutes: 0, head: 'Ready.', rest: 'The foreman may release it.', who };
  if (sight.refusals.every(({ rule }) => BY_FOREMAN.has(rule)))
    return {
      kind: 'check',
      minutes: 0,
      head: 'Final check.',
      rest: `${count(sight.refusals.length, 'item')} for the foreman.`,
      who,
    };
  const words = underWay(items, planned);
  // All steps are settled and something else is not: the work itself, a question, a code, a lamp.
  const other = words.head === NONE_OPEN ? { head: 'Still to do:', rest: sight.refusals[0]?.text ?? '' } : words;
  return { kind: 'goes', minutes, ...other, who };
}

function underWay(items: readonly SeenItem[], { numbers }: Planned): { head: string; rest: string } {
  const out = items.find(({ stage }) => stage === 'sent-out');
  const waiting = items.find(({ stage }) => stage === 'waiting');
  const running = items.filter(({ stage }) => stage === 'running');
  const failed = items.find(({ stage }) => stage === 'did-not-take');
  const open = items.filter(({ stage }) => stage === 'open' || stage === 'did-not-take');
  const left = `${count(open.length, 'step')} open.`;
  if (running[0]) return { head: `Running: ${numbers.get(running[0].id) ?? ''} ${running[0].title}.`, rest: left };
  if (failed) return { head: 'Did not take:', rest: `${numbers.get(failed.id) ?? ''} ${failed.title}. ${left}` };
  if (out?.record?.sentOut)
    return {
      head: 'Out of the house:',
      rest: `${out.title}, at ${out.record.sentOut.firm} since ${out.record.sentOut.on}. ${left}`,
    };
  if (waiting?.record?.waiting)
    return {
      head: 'Waits for a part:',
      rest: `${waiting.record.waiting.part}, promised ${waiting.record.waiting.promised}. ${left}`,
    };
  return { head: left, rest: '' };
}

const NONE_OPEN = `${count(0, 'step')} open.`;

function stuckText({ title, record }: SeenItem): string {
  return record?.why ? `${title}: ${sentence(record.why)}` : sentence(title);
}

/** Minutes of all that is not settled, one after the other; a wait that runs counts in full. */
function remaining({ list, sight }: Planned): number {
  if (!list) return 0;
  const settled = new Set(
    sight?.items.filter(({ stage, was }) => was || stage === 'took' || stage === 'not-done').map(({ id }) => id),
  );
  const left = list.steps.filter(({ id }) => !settled.has(id));
  if (left.length === list.steps.length) return list.time.total;
  const sum = left.reduce((minutes, { minutes: m, change, finish }) => {
    const changes = change.reduce((all, one) => all + one.minutes, 0);
    return minutes + m.hands + changes + (finish === 'shop' ? m.wait : 0);
  }, 0);
  return Math.min(sum, list.time.total);
}

function lastHand({ sight, record }: Planned): string | undefined {
  const last = record?.queue.at(-1)?.by ?? record?.events.at(-1)?.by;
  return sight ? last : undefined;
}

function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}

const RANK: Readonly<Record<Standing['kind'], number>> = { held: 0, ready: 1, check: 2, goes: 3, written: 3 };

/** A car that cannot go by itself stands first, then what can go soonest. */
export function sooner(a: Standing, b: Standing): number {
  return RANK[a.kind] - RANK[b.kind] || a.minutes - b.minutes;
}
