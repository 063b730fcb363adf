import { barred, inFirmsHands, on, over, refusalsOr, unknownKeys } from './bars.ts';
import { missingPhotos } from './step-values.ts';
import type { Turns } from './turn.ts';
import { contradicts, endingsOf, saidApart } from './two-answers.ts';

/** Steps that leave the bay, are left, or are settled by somebody else than who did them. */
export const ASIDE: Turns<
  'sent-out' | 'returned' | 'waiting' | 'not-done' | 'answer-chosen' | 'ruled-out' | 'sent-back'
> = {
  'sent-out': on((_, item, job) => refusalsOr([...over(item, job), ...inFirmsHands(item)])),
  returned: on((command, item, job) => {
    if (item.stage !== 'sent-out') return [`${item.title} is not with another firm`];
    const faults = [
      ...barred(item, job),
      ...unknownKeys(command.values, item),
      ...missingPhotos(command.values, job),
      ...missingPhotos({ paper: { kind: 'photo', hash: command.photo } }, job),
    ];
    return faults.length > 0 ? faults : { way: item.way ?? 'none' };
  }),
  waiting: on((_, item, job) => refusalsOr([...over(item, job), ...inFirmsHands(item)])),
  'not-done': on((command, item, job) => {
    if (saidApart(command, item, job) && contradicts('not-done', item)) return { rival: true as const };
    const bars = over(item, job);
    if (item.stage === 'not-done' && item.record?.notDone?.reason === command.reason)
      bars.push(`${item.title} is down as not done already`);
    return refusalsOr(bars);
  }),
  'answer-chosen': on((command, item) => {
    const all = endingsOf(item.record).map(({ mark }) => mark);
    if (all.length < 2) return [`${item.title} has one answer only`];
    return all.some(({ event }) => event === command.event)
      ? {}
      : [
          `\`${command.event}\` is ${all.length === 2 ? 'neither of the two' : 'none of the'} answers: ${all.map(({ event, by }) => `\`${event}\` by ${by}`).join(', ')}`,
        ];
  }),
  'ruled-out': on((command, item, job) => {
    const claimed =
      item.kind === 'undecided' || item.was === 'cannot-tell' || item.record?.notDone?.reason === 'does-not-fit';
    if (!claimed)
      return [`${item.title} is needed on this car: it is done, or somebody first says that it does not fit`];
    return refusalsOr(missingPhotos({ evidence: { kind: 'photo', hash: command.photo } }, job));
  }),
  'sent-back': on((_, item) =>
    item.record?.took || item.record?.stage === 'not-done' || item.record?.rivals
      ? {}
      : [`${item.title} is not down as done: there is nothing to send back`],
  ),
};
