import { barred, doubts, inFirmsHands, on, refusalsOr, unknownKeys } from './bars.ts';
import type { Command, CommandOf } from './commands.ts';
import type { Item } from './item.ts';
import { unproved } from './proven.ts';
import type { Job } from './state.ts';
import { missingPhotos } from './step-values.ts';
import { closingOver, waitOver } from './timing.ts';
import type { Added, Turns } from './turn.ts';
import { contested, contradicts, type Ending, saidApart } from './two-answers.ts';

/** What happens to one step. */
export const STEPS: Turns<'started' | 'noted' | 'took' | 'closed' | 'did-not-take' | 'stuck'> = {
  started: on((command, item, job) => {
    const way = wayChosen(command.way, item);
    if (way.refused) return way.refused;
    if (saidApart(command, item, job)) return { way: way.id, beside: true };
    const bars = [...barred(item, job), ...inFirmsHands(item)];
    if (item.stage === 'running')
      bars.push(`${item.title} is running since ${item.record?.at}, started by ${item.record?.by}`);
    if (bars.length > 0) return bars;
    const entry = unproved(
      { ...item, asked: item.asked.filter((a) => a.when === 'entry') },
      entryValues(item),
      job.units,
    );
    const failed = entry.filter((e) => e.judged !== undefined && item.safety).map((e) => e.text);
    return failed.length > 0 ? failed : { way: way.id };
  }),
  noted: on((command, item, job) => {
    if (saidApart(command, item, job)) {
      const faults = [...unknownKeys(command.values, item), ...missingPhotos(command.values, job)];
      return faults.length > 0 ? faults : { beside: true };
    }
    const open = contested(item);
    if (open.length > 0) return open;
    if (item.again && item.record?.took)
      return [
        `${item.title} is to be done again (${item.again}): start it first, so that old figures do not prove the new round`,
      ];
    const faults = [
      ...unknownKeys(command.values, item),
      ...missingPhotos(command.values, job),
      ...doubts(command.values, item, job),
    ];
    if (faults.length > 0 || item.stage !== 'took') return faults.length > 0 ? faults : {};
    const after = unproved(
      { ...item, asked: item.asked.filter((a) => Object.hasOwn(command.values, a.key)) },
      new Map(Object.entries(command.values)),
      job.units,
    );
    return after.length > 0 ? after.map((a) => a.text) : {};
  }),
  took: on(took),
  closed: on((command, item) => {
    if (!item.closing)
      return [
        item.stage === 'took'
          ? `${item.title} has nothing to close`
          : `${item.title} did not take yet: there is nothing to close`,
      ];
    if (!item.closing.open) return [`${item.title} is closed already`];
    const early = closingOver(item, command.at);
    return early ? [early] : {};
  }),
  'did-not-take': on((command, item, job) => {
    const unread = [...unknownKeys(command.values, item), ...missingPhotos(command.values, job)];
    if (apart('did-not-take', command, item, job))
      return unread.length > 0
        ? unread
        : { way: item.way ?? 'none', try: (item.record?.tries ?? 0) + 1, rival: true as const };
    const bars = [...barred(item, job), ...inFirmsHands(item), ...unread];
    if (item.stage === 'stuck') bars.push(`${item.title} is stuck: start it again before the next try`);
    return bars.length > 0 ? bars : { way: item.way ?? 'none', try: (item.record?.tries ?? 0) + 1 };
  }),
  stuck: on((command, item, job) =>
    apart('did-not-take', command, item, job)
      ? { rival: true as const }
      : refusalsOr([...barred(item, job), ...inFirmsHands(item)]),
  ),
};

function took(command: CommandOf<'took'>, item: Item, job: Job): Added<'took'> | readonly string[] {
  const faults = [
    ...unknownKeys(command.values, item),
    ...missingPhotos(command.values, job),
    ...doubts(command.values, item, job),
  ];
  if (faults.length > 0) return faults;
  if (apart('took', command, item, job)) return tookApart(command, item, job);
  const open = contested(item);
  if (open.length > 0) return open;
  if (item.stage === 'took' && item.record?.took) return second(command, item);
  const way = wayChosen(command.way, item);
  if (way.refused) return way.refused;
  if (way.id !== (item.way ?? 'none'))
    return [
      `${item.title} is planned by ${item.way}: start it by ${way.id} first, so that the readings of that way are asked`,
    ];
  const bars = [...barred(item, job), ...inFirmsHands(item), ...waitOver(item, job, command.at)];
  if (bars.length > 0) return bars;
  const kept =
    item.stage === 'running' || item.stage === 'open' || item.stage === 'waiting' ? entryValues(item) : new Map();
  const missing = unproved(item, new Map([...kept, ...Object.entries(command.values ?? {})]), job.units).map(
    (u) => u.text,
  );
  const asks =
    item.safety || item.level === 'required'
      ? item.confirms.map((c) => `${item.title} waits for an answer first: ${c.text}`)
      : [];
  return missing.length + asks.length > 0 ? [...asks, ...missing] : { way: way.id, rival: false };
}

/** A tablet without signal may bring a second answer: on a safety item it is kept beside the first, and a person decides. */
function second(command: CommandOf<'took'>, item: Item): Added<'took'> | readonly string[] {
  const { took: first, values } = item.record ?? {};
  const differs = Object.entries(command.values ?? {}).some(
    ([key, value]) => JSON.stringify(values?.get(key)) !== JSON.stringify(value),
  );
  if (!item.safety || !differs) return [`${item.title} took already, at ${first?.at} by ${first?.by}`];
  return { way: item.record?.way ?? 'none', rival: true };
}

/** It has to be proved by its own figures, and by the start that belongs to it. */
function tookApart(command: CommandOf<'took'>, item: Item, job: Job): Added<'took'> | readonly string[] {
  const { record } = item;
  const own: Item =
    record?.beside === undefined
      ? item
      : { ...item, stage: 'running', record: { ...record, stage: 'running', startedAt: record.beside } };
  const bars = [...inFirmsHands(item), ...waitOver(own, job, command.at)];
  const missing = unproved(item, new Map(Object.entries(command.values ?? {})), job.units).map(({ text }) => text);
  if (bars.length + missing.length > 0) return [...bars, ...missing];
  return { way: command.way ?? item.way ?? 'none', rival: true };
}

/** Whether an ending is said by somebody who did not know of another, and says otherwise than one that stands. */
function apart(word: Ending['word'], command: Command, item: Item, job: Job): boolean {
  return saidApart(command, item, job) && contradicts(word, item);
}

/** Values that count towards this round. */
function entryValues(item: Item): NonNullable<Item['record']>['values'] {
  return item.again && item.record?.took ? new Map() : (item.record?.values ?? new Map());
}

function wayChosen(way: string | undefined, item: Item): { id: string; refused?: readonly string[] } {
  const id = way ?? item.way ?? 'none';
  if (way === undefined || item.ways.includes(way)) return { id };
  return { id, refused: [`\`${way}\` is no way to do ${item.title} on this car; there is ${item.ways.join(', ')}`] };
}
