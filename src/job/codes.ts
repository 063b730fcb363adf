import type { Rulebook } from '../rulebook/rulebook.ts';
import type { ComparedCode, Comparison, SeenCode } from '../scan/compare.ts';
import { meaningOf } from '../scan/meaning.ts';
import { namesCode } from '../scan/pair.ts';
import { codeBookOf, codesNaming, comparedCodes, explainedSince, makersOf, seenCodes } from './codes/compared.ts';
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
export function codesOf(sight: Sight, rulebook: Rulebook): CodesSeen {
  const { job } = sight;
  const { before, after } = job.scans;
  const compared = comparedCodes(job, sight.items, rulebook);
  if (!compared) {
    const makers = makersOf(job, rulebook);
    const rows = (before ? seenCodes(before) : []).map((seen) => rowBefore(seen, sight, rulebook, makers));
    return { before, after, rows, counts: { gone: 0, stays: 0, new: 0, there: 0 } };
  }
  const explained = explainedSince(job);
  const holding = new Map(
    sight.refusals.flatMap(({ rule, item, text }) => (rule === 'new-code' ? [[item, text] as const] : [])),
  );
  const rows = compared.codes.map((row): CodeRow => {
    const said = row.ties.find(({ kind }) => kind === 'person')?.id;
    return {
      ...row,
      step: stepOf(row, sight, rulebook),
      explained: said === undefined ? undefined : explained.get(said),
      holds: holding.get(row.code),
    };
  });
  return { before, after, rows, counts: compared.counts };
}

function rowBefore(
  { code, kept = [], modules = [] }: SeenCode,
  sight: Sight,
  rulebook: Rulebook,
  makers: readonly string[],
): CodeRow {
  const meaning = meaningOf(code, codeBookOf(rulebook), { module: modules[0], makers });
  return {
    code,
    change: 'before',
    untilDriven: false,
    kept,
    modules,
    meaning,
    ties: [],
    called: [],
    unexplained: false,
    says: '',
    step: stepOf({ ties: [], code, meaning }, sight, rulebook),
    explained: undefined,
    holds: undefined,
  };
}

function stepOf(
  { ties, code, meaning }: Pick<ComparedCode, 'ties' | 'code' | 'meaning'>,
  { items }: Sight,
  { followUps }: Rulebook,
): SeenItem | undefined {
  const tied = ties.find(({ kind }) => kind === 'step');
  if (tied) return items.find(({ followUp, stage, ruledOut }) => followUp === tied.id && stage !== 'took' && !ruledOut);
  return items.find(
    ({ followUp }) => namesCode(codesNaming(followUps.get(followUp)), code) || meaning.calls.includes(followUp),
  );
}
