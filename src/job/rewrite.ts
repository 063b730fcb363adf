import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Saying } from './commands.ts';
import { jobFile, standingLines } from './facts.ts';
import type { Job, Scan } from './state.ts';

/** A job as it is written up, and the ids of its work lines in their order. */
export interface Sheet {
  readonly file: JobFile;
  readonly lines: readonly string[];
  /** What was read of its codes, once for each module that told one, with its words. */
  readonly read?: Partial<Readonly<Record<When, Scan['codes']>>>;
}

type When = keyof Job['scans'];

/** The sheet of a job on record, with the codes of the last reading before the work and after it. */
export function sheetOf(job: Job, rulebook: Rulebook): Sheet {
  const { codes: _, ...file } = jobFile(job, rulebook);
  const read = Object.entries(job.scans).map(
    ([when, scan]) => [when, once(scan.codes.map(({ code }) => code))] as const,
  );
  const codes = Object.fromEntries(read.filter(([, list]) => list.length > 0));
  return {
    file: Object.keys(codes).length > 0 ? { ...file, codes } : file,
    lines: standingLines(job).map(({ id }) => id),
    read: Object.fromEntries(Object.entries(job.scans).map(([when, scan]) => [when, scan.codes])),
  };
}

/**
 * What somebody says who turns one sheet into the other: the record takes only that. A place told of a line that had none
 * is an answer; any other change of a line strikes it and writes it up anew.
 */
export function sayingsBetween(from: Sheet, to: JobFile): Saying[] {
  const done = from.file['work-done'] ?? false;
  return [
    ...vehicleTold(from.file, to),
    ...traitsTold(from.file, to),
    // A line that is put on takes "done" away by itself, so that somebody says it anew.
    ...(done && !to['work-done'] ? ([{ type: 'work-not-done', because: 'put down as done too early' }] as const) : []),
    ...(from.file.promised === to.promised ? [] : [promisedAt(to)]),
    ...(from.file.parked === to.parked ? [] : [parkedAt(to)]),
    ...linesTold(from, to),
    ...scansTold(from, to),
    ...(!done && to['work-done'] ? ([{ type: 'work-done' }] as const) : []),
    ...answersTold(from, to),
  ];
}

/** The other sheet as the record will have it: lines that stay, then those put on, whose ids are given in their order. */
export function sheetAfter(from: Sheet, to: JobFile, added: readonly string[]): Sheet {
  const kept = keptLines(from.file.work, to.work);
  const staying = new Set(kept.values());
  const fresh = to.work.filter((_, at) => !staying.has(at));
  return {
    file: { ...to, work: [...[...kept.values()].map((at) => to.work[at] as Line), ...fresh] },
    lines: [...[...kept.keys()].map((at) => from.lines[at] as string), ...added],
    read: { before: readOf(from, to, 'before'), after: readOf(from, to, 'after') },
  };
}

/** A job that is opened: everything that stands on the written-up sheet. */
export function sayingsOf(file: JobFile, opening: Omit<Saying<'opened'>, 'type' | 'ro'>): Saying[] {
  const opened: Saying<'opened'> = { type: 'opened', ro: file.ro, ...opening };
  return [opened, ...sayingsBetween({ file: { ro: file.ro, work: [] }, lines: [] }, file)];
}

function promisedAt({ promised }: JobFile): Saying {
  return { type: 'promised', ...(promised ? { time: promised } : {}) };
}

function parkedAt({ parked }: JobFile): Saying {
  return { type: 'parked', ...(parked ? { place: parked } : {}) };
}

type Vehicle = Saying<'vehicle-told'>['vehicle'];

function vehicleTold({ vehicle: was = {} }: JobFile, { vehicle: is = {} }: JobFile): Saying[] {
  const { traits: _was, ...before } = was;
  const { traits: _is, ...after } = is;
  const told = Object.fromEntries(
    Object.entries(after).filter(([field, value]) => value !== undefined && before[field as keyof Vehicle] !== value),
  ) as Vehicle;
  const cleared = (Object.keys(before) as (keyof Vehicle)[]).filter(
    (field) => before[field] !== undefined && after[field] === undefined,
  );
  if (Object.keys(told).length + cleared.length === 0) return [];
  return [{ type: 'vehicle-told', vehicle: told, ...(cleared.length > 0 ? { cleared } : {}) }];
}

function traitsTold({ vehicle: was }: JobFile, { vehicle: is }: JobFile): Saying[] {
  return changed(was?.traits ?? {}, is?.traits ?? {}).map(([trait, answer]) => ({
    type: 'trait-told',
    trait,
    ...(answer === undefined ? {} : { answer }),
  }));
}

function linesTold({ file: { work: was }, lines }: Sheet, { work: is }: JobFile): Saying[] {
  const kept = keptLines(was, is);
  const struck = was.flatMap((_, at): Saying[] =>
    kept.has(at) ? [] : [{ type: 'line-struck', line: lines[at] as string, because: 'struck off the sheet' }],
  );
  const staying = new Set(kept.values());
  const placed = [...kept].flatMap(([before, now]): Saying[] => {
    const answer = placeTold(was[before] as Line, is[now] as Line);
    return answer === undefined ? [] : [{ type: 'answered', question: `at:line-${lines[before]}`, answer }];
  });
  const added = is.flatMap((line, at): Saying[] => (staying.has(at) ? [] : [{ type: 'line-added', line }]));
  return [...struck, ...placed, ...added];
}

type Line = JobFile['work'][number];

/** Which line of before is which of now: the same words in the same order, or one that was only told where it is. */
function keptLines(was: readonly Line[], is: readonly Line[]): Map<number, number> {
  const kept = new Map<number, number>();
  let from = 0;
  was.forEach((line, before) => {
    const now = is.findIndex((other, at) => at >= from && (same(line, other) || placeTold(line, other) !== undefined));
    if (now < 0) return;
    kept.set(before, now);
    from = now + 1;
  });
  return kept;
}

function placeTold(before: Line, now: Line): string | undefined {
  const { at, ...rest } = now;
  return before.at === undefined && typeof at === 'string' && same(before, rest) ? at : undefined;
}

/** A scan tells all codes that are there: a code that was written down by mistake is gone in the next one. */
function scansTold(from: Sheet, to: JobFile): Saying[] {
  return (['before', 'after'] as const).flatMap((when): Saying[] => {
    if (same(once(from.file.codes?.[when]), once(to.codes?.[when]))) return [];
    return [{ type: 'scanned', when, codes: readOf(from, to, when) }];
  });
}

/** A code that stays keeps what was read of it: once for each module that told it, with its words. */
function readOf({ read }: Sheet, { codes }: JobFile, when: When): Scan['codes'] {
  return once(codes?.[when]).flatMap((code) => {
    const had = read?.[when]?.filter((one) => one.code === code) ?? [];
    return had.length > 0 ? had : [{ code }];
  });
}

/** A sheet has a code once, whatever number of modules told it. */
function once(codes: readonly string[] = []): string[] {
  return [...new Set(codes)];
}

/** Questions about a line name it by its id, for on another tablet it may stand in another place. */
function answersTold({ file: { answers: was = {} }, lines }: Sheet, { answers: is = {} }: JobFile): Saying[] {
  return changed(was, is).map(([question, answer]) => ({
    type: 'answered',
    question: question.replace(/^at:(\d+)/, (all, at: string) =>
      lines[Number(at)] ? `at:line-${lines[Number(at)]}` : all,
    ),
    ...(answer === undefined ? {} : { answer }),
  }));
}

function changed<T>(was: Readonly<Record<string, T>>, is: Readonly<Record<string, T>>): [string, T | undefined][] {
  const names = [...new Set([...Object.keys(was), ...Object.keys(is)])];
  return names.filter((name) => !same(was[name], is[name])).map((name) => [name, is[name]]);
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
