import type { Place } from '../../store/open.ts';
import { Tampered, Unavailable } from '../../store/log/contract.ts';
import { clockOf, levelOf } from '../../store/log/level.ts';
import { openLog, type SqlLog } from '../../store/log/log.ts';
import { STRAY_DAYS } from '../../store/log/stray.ts';
import { doubtful, fine, type Finding, wrong } from './finding.ts';

export interface Looking {
  readonly now: Date;
  /** Without going through every chain and photo. */
  readonly quick: boolean;
  /** Photos whose event never came are taken out. */
  readonly tidy: boolean;
}

/** One site's record: whether it can be opened and is of this program, its clock, its chains and its photos. */
export async function record(place: Place, looking: Looking): Promise<Finding[]> {
  try {
    const level = await levelOf(place);
    if (level === 'none') return [doubtful('record', 'there is none yet', '`serve` makes one')];
    if (level === 'newer')
      return [
        wrong(
          'record',
          'it was written by a newer program',
          'bring this one up to date, or put a copy of before in its place',
        ),
      ];
    // To look further would bring it up to date, under the hands of a server that may not be.
    if (level === 'older')
      return [
        doubtful('record', 'it is of an older program', 'copy it, then start the server: that brings it up to date'),
      ];
    return await inside(place, looking);
  } catch (error) {
    if (!(error instanceof Unavailable || error instanceof Tampered)) throw error;
    return [wrong('record', error.message, 'nothing is kept before this is mended')];
  }
}

async function inside(place: Place, looking: Looking): Promise<Finding[]> {
  const { log } = await openLog(place, { create: false, verify: false });
  try {
    const { jobs, events, bytes, written } = await log.measure();
    const all = Object.values(jobs).reduce((sum, each) => sum + each, 0);
    return [
      fine('record', `${all} jobs, ${events} events, ${(bytes / 1e6).toFixed(1)} MB; ${jobs.open} jobs are open`),
      await clock(place, written, looking.now),
      ...(looking.quick ? [] : await chains(log)),
      await strays(log, looking.tidy),
    ];
  } finally {
    await log.close();
  }
}

/** A minute apart is a slow network's; more, and events of one job stand in the wrong order of time. */
const MOST_APART_MS = 60_000;
const MOST_AHEAD_MS = 5 * 60_000;

async function clock(place: Place, written: string | undefined, now: Date): Promise<Finding> {
  const todo = 'set the clock right, by a time server';
  if (written !== undefined && Date.parse(written) - now.getTime() > MOST_AHEAD_MS)
    return wrong('clock', `it is ${now.toISOString()} here, and the newest event is of ${written}`, todo);
  if (typeof place !== 'object' || !('database' in place)) return fine('clock', `it is ${now.toISOString()}`);
  const apart = (await clockOf(place)).getTime() - Date.now();
  if (Math.abs(apart) <= MOST_APART_MS) return fine('clock', `it is ${now.toISOString()}, as in the database`);
  const says = `the database's clock is ${Math.round(Math.abs(apart) / 1000)} s ${apart > 0 ? 'ahead of' : 'behind'} this one`;
  return doubtful('clock', says, todo);
}

const SHOWN = 5;

async function chains(log: SqlLog): Promise<Finding[]> {
  let [jobs, awaited] = [0, 0];
  const flaws: string[] = [];
  const waiting: string[] = [];
  for await (const one of log.verify()) {
    jobs++;
    flaws.push(...one.flaws.map(({ says }) => says));
    awaited += one.awaited.length;
    if (one.awaited.length > 0) waiting.push(one.job);
  }
  flaws.push(...(await log.verifyPhotos()).map(({ says }) => says));
  const more = flaws.length > SHOWN ? `; and ${flaws.length - SHOWN} more` : '';
  const chained =
    flaws.length === 0
      ? fine('chains', `all ${jobs} verify`)
      : wrong(
          'chains',
          `${flaws.slice(0, SHOWN).join('; ')}${more}`,
          '`lastbolt verify` names every flaw; the last copy has what was there',
        );
  if (awaited === 0) return [chained];
  const says = `${awaited} photos that events speak of are not here, of ${named(waiting)}`;
  return [chained, doubtful('photos', says, 'the tablets that took them still have them: open the page there')];
}

async function strays(log: SqlLog, tidy: boolean): Promise<Finding> {
  if (tidy) {
    const dropped = await log.dropStrays();
    return fine('stray photos', dropped === 0 ? 'none' : `${dropped} were taken out`);
  }
  const found = await log.strays();
  if (found.length === 0) return fine('stray photos', 'none');
  const says = `${found.length} photos have been here over ${STRAY_DAYS} days, and no event shows them`;
  return doubtful('stray photos', says, '`lastbolt doctor --tidy` takes them out');
}

function named(jobs: readonly string[]): string {
  const more = jobs.length > SHOWN ? ` and ${jobs.length - SHOWN} more` : '';
  return `job${jobs.length === 1 ? '' : 's'} ${jobs.slice(0, SHOWN).join(', ')}${more}`;
}
