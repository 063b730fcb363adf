import type { Rulebook } from '../rulebook/rulebook.ts';
import { type ComparedCode, compareCodes, type Comparison, type SeenCode, type StepTie } from '../scan/compare.ts';
import { meaningOf } from '../scan/meaning.ts';
import type { CodeBook } from '../scan/schema.ts';
import { keptOf } from './codes/report.ts';
import { factsOf } from './facts.ts';
import type { SeenItem, Sight } from './sight.ts';
import type { Mark, Scan } from './state.ts';

/** A code of the job as the leaf of codes shows it. */
export interface CodeRow extends Omit<ComparedCode, 'change'> {
  /** `before`: read before the work, and nobody has read after it yet. */
  readonly change: ComparedCode['change'] | 'before';
  /** The step that it is tied to, or that names it and took. */
  readonly step: SeenItem | undefined;
  /** What somebody wrote of it since the last reading. */
  readonly explained: (Mark & { readonly because: string }) | undefined;
  /** The gate's sentence, where it holds the car. */
  readonly holds: string | undefined;
}

export interface CodesSeen {
  readonly before: Scan | undefined;
  readonly after: Scan | undefined;
  /** New ones first, then those that stay, those gone last. */
  readonly rows: readonly CodeRow[];
  readonly counts: Comparison['counts'];
}

/** The codes of a job on record, before against after, each tied to what explains it. Pure. */
export function codesOf(sight: Sight, rulebook: Rulebook, book: CodeBook): CodesSeen {
  const { job } = sight;
  const { before, after } = job.scans;
  const makers = (factsOf(job, rulebook).car.get('maker')?.values ?? []).map(String);
  const rowsBefore = () =>
    (before ? seenCodes(before) : []).map((seen) => rowBefore(seen, { sight, rulebook, book, makers }));
  if (!after) return { before, after, rows: rowsBefore(), counts: { gone: 0, stays: 0, new: 0, there: 0 } };
  const explained = new Map(
    [...job.explained].flatMap(([key, said]) =>
      key.startsWith('code:') && said.seq > after.seq ? [[key.slice('code:'.length), said] as const] : [],
    ),
  );
  const compared = compareCodes({
    before: before ? seenCodes(before) : null,
    after: seenCodes(after),
    steps: stepTies(sight, rulebook),
    explained: Object.fromEntries([...explained].map(([code, { because }]) => [code, because])),
    book,
    makers,
  });
  const holding = new Map(
    sight.refusals.flatMap(({ rule, item, text }) => (rule === 'new-code' ? [[item, text] as const] : [])),
  );
  const rows = compared.codes.map(
    (row): CodeRow => ({
      ...row,
      step: stepOf(row, sight, rulebook),
      explained: explained.get(row.code),
      holds: holding.get(row.code),
    }),
  );
  return { before, after, rows, counts: compared.counts };
}

/** What has been read, each code once, with the modules that told it. */
function seenCodes({ codes }: Scan): SeenCode[] {
  const found = new Map<string, { code: string; kept: Set<string>; modules: Set<string> }>();
  for (const read of codes) {
    const had = found.get(read.code) ?? { code: read.code, kept: new Set<string>(), modules: new Set<string>() };
    found.set(read.code, had);
    if (read.module) had.modules.add(read.module);
    for (const kept of keptOf(read)) had.kept.add(kept);
  }
  return [...found.values()].map(({ code, kept, modules }) => ({
    code,
    kept: [...kept] as NonNullable<SeenCode['kept']>,
    modules: [...modules],
  }));
}

interface Facts {
  readonly sight: Sight;
  readonly rulebook: Rulebook;
  readonly book: CodeBook;
  readonly makers: readonly string[];
}

function rowBefore({ code, kept = [], modules = [] }: SeenCode, { sight, rulebook, book, makers }: Facts): CodeRow {
  const meaning = meaningOf(code, book, { module: modules[0], makers });
  return {
    code,
    change: 'before',
    untilDriven: false,
    kept,
    modules,
    meaning,
    ties: [],
    unexplained: false,
    says: '',
    step: stepOf({ ties: [], code, meaning }, sight, rulebook),
    explained: undefined,
    holds: undefined,
  };
}

/** Each follow-up of the list once: open as long as one of its steps is. */
function stepTies({ items }: Sight, rulebook: Rulebook): StepTie[] {
  const ties = new Map<string, StepTie>();
  for (const { followUp, title, stage, owner } of items) {
    const had = ties.get(followUp);
    const state = stage === 'took' ? 'took' : stage === 'not-done' ? 'not-done' : 'open';
    if (had && (had.state === 'open' || state === 'took')) continue;
    ties.set(followUp, { id: followUp, title, state, codes: codesNaming(followUp, rulebook), untilDriven: owner });
  }
  return [...ties.values()];
}

/** Codes that call for a follow-up, or that show when it is skipped: as the gate ties them. */
function codesNaming(followUp: string, rulebook: Rulebook): string[] {
  const text = rulebook.followUps.get(followUp)?.text;
  return [...new Set([...(text?.triggers ?? []), ...(text?.skipped ?? [])].flatMap(({ codes }) => codes ?? []))];
}

function stepOf(
  { ties, code, meaning }: Pick<ComparedCode, 'ties' | 'code' | 'meaning'>,
  { items }: Sight,
  rulebook: Rulebook,
): SeenItem | undefined {
  const tied = ties.find(({ kind }) => kind === 'step');
  if (tied) return items.find(({ followUp, stage }) => followUp === tied.id && stage !== 'took');
  return items.find(
    ({ followUp }) => codesNaming(followUp, rulebook).includes(code) || meaning.calls.includes(followUp),
  );
}
