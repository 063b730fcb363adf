import { nearestName } from '../rulebook/fault.ts';
import type { CommandOf, CommandType } from './commands.ts';
import type { Item } from './item.ts';
import { itemOf, type Plan, plan } from './plan.ts';
import { judgeReading } from './readings.ts';
import type { Job } from './state.ts';
import type { Added, Desk, Turn } from './turn.ts';
import { contested } from './two-answers.ts';
import type { Values } from './values.ts';

/** What commonly stands in the way of a command about a step. */

type OnItem<T extends CommandType> = (
  command: CommandOf<T>,
  item: Item,
  job: Job,
  made: Plan,
) => Added<T> | readonly string[];

/** Finds the step, or says that it is not on this list. */
export function on<T extends CommandType>(turn: OnItem<T>): Turn<T> {
  return (command, job, { rulebook }: Desk) => {
    const { step } = command as { readonly step: string };
    const made = plan(job, rulebook);
    const item = itemOf(made, step);
    if (item) return turn(command, item, job, made);
    const near = nearestName(
      step,
      made.items.map((i) => i.id),
    );
    return [`\`${step}\` is not on the list of ${job.ro}${near ? `; did you mean \`${near}\`?` : ''}`];
  };
}

/** Over for good: it took, or the work it had to come before is done. */
export function over(item: Item, job: Job): string[] {
  const open = contested(item);
  if (open.length > 0) return open;
  if (item.was || (job.workDone && item.followUp.phase !== 'after'))
    return [`${item.title} had to come before the work, which is done: say whether it was, yes or no`];
  return item.stage === 'took'
    ? [`${item.title} took already, at ${item.record?.took?.at} by ${item.record?.took?.by}`]
    : [];
}

/** What bars its hands-on part: its time is over or has not come, or a forerunner is open. */
export function barred(item: Item, job: Job): string[] {
  const early = item.followUp.phase === 'after' && !job.workDone;
  const waits = item.waitsFor.map((wait) =>
    wait.never
      ? `${item.title} can not be done: ${wait.title} was not done (${wait.because})`
      : `${item.title} waits for ${wait.title} (${wait.because})`,
  );
  return [
    ...over(item, job),
    ...(early ? [`${item.title} comes after the work: say first that the work is done`] : []),
    ...waits,
  ];
}

export function inFirmsHands(item: Item): string[] {
  return item.stage === 'sent-out'
    ? [
        `${item.title} is with ${item.record?.sentOut?.firm} since ${item.record?.sentOut?.on}: only the paper it comes back with settles it`,
      ]
    : [];
}

export function unknownKeys(values: Values | undefined, item: Item): string[] {
  const known = item.asked.map((a) => a.key);
  return Object.keys(values ?? {})
    .filter((key) => !known.includes(key))
    .map(
      (key) => `${item.title} asks for no "${key}"; it asks for ${known.map((k) => `"${k}"`).join(', ') || 'nothing'}`,
    );
}

/** Slips and answers of the wrong kind never get into the record. */
export function doubts(values: Values | undefined, item: Item, job: Job): string[] {
  return item.asked.flatMap((asked) => {
    const value = values?.[asked.key];
    const judged = value && judgeReading(asked, value, job.units);
    return judged?.verdict === 'doubted' || judged?.verdict === 'unfit' ? [judged.text] : [];
  });
}

export function refusalsOr(refused: readonly string[]): readonly string[] | Record<never, never> {
  return refused.length > 0 ? refused : {};
}
