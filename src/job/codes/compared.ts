import type { CodeBook } from '../../rulebook/code-book.ts';
import type { FollowUp, Rulebook } from '../../rulebook/rulebook.ts';
import { type Comparison, compareCodes, type SeenCode, type StepTie } from '../../scan/compare.ts';
import { factsOf } from '../facts.ts';
import type { Item } from '../item.ts';
import type { Job, Mark, Scan } from '../state.ts';
import { keptOf } from './kept.ts';

/** As much of a step as its codes depend on. */
export type Tied = Pick<Item, 'title' | 'stage' | 'owner' | 'ruledOut'> & { readonly followUp: string };

const NO_BOOK: CodeBook = {
  sources: {},
  codes: {},
  'failure-types': {},
  'failure-type-sources': [],
  families: [],
  'self-tests': {},
};

export function codeBookOf({ codeBook }: Rulebook): CodeBook {
  return codeBook ?? NO_BOOK;
}

/**
 * The codes of a job before the work against those after it, each tied to what explains it; undefined where nobody read
 * after it. The one judge of this: the leaf shows what it says and the gate holds what it calls unexplained.
 */
export function comparedCodes(job: Job, items: readonly Tied[], rulebook: Rulebook): Comparison | undefined {
  const { before, after } = job.scans;
  if (!after) return undefined;
  return compareCodes({
    before: before ? seenCodes(before) : null,
    after: seenCodes(after),
    steps: stepTies(items, rulebook),
    explained: Object.fromEntries([...explainedSince(job)].map(([code, { because }]) => [code, because])),
    book: codeBookOf(rulebook),
    makers: makersOf(job, rulebook),
  });
}

/** What somebody wrote of a code, by code: it speaks for the last reading, so only what was said since counts. */
export function explainedSince({ explained, scans: { after } }: Job): Map<string, Mark & { readonly because: string }> {
  return new Map(
    [...explained].flatMap(([key, said]) =>
      after && key.startsWith('code:') && said.seq > after.seq ? [[key.slice('code:'.length), said] as const] : [],
    ),
  );
}

export function makersOf(job: Job, rulebook: Rulebook): string[] {
  return (factsOf(job, rulebook).car.get('maker')?.values ?? []).map(String);
}

/** What has been read, each code once, with the modules that told it. */
export function seenCodes({ codes }: Scan): SeenCode[] {
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

/** Each follow-up of the list once: open as long as one of its steps is. One that this car does not need explains nothing. */
function stepTies(items: readonly Tied[], { followUps }: Rulebook): StepTie[] {
  const ties = new Map<string, StepTie>();
  for (const { followUp, title, stage, owner, ruledOut } of items) {
    if (ruledOut) continue;
    const had = ties.get(followUp);
    const state = stage === 'took' ? 'took' : stage === 'not-done' ? 'not-done' : 'open';
    if (had && (had.state === 'open' || state === 'took')) continue;
    ties.set(followUp, {
      id: followUp,
      title,
      state,
      codes: codesNaming(followUps.get(followUp)),
      untilDriven: owner,
    });
  }
  return [...ties.values()];
}

/** Codes that call for a follow-up, or that show when it is skipped. */
export function codesNaming(followUp: FollowUp | undefined): string[] {
  const { triggers = [], skipped = [] } = followUp?.text ?? {};
  return [...new Set([...triggers, ...skipped].flatMap(({ codes }) => codes ?? []))];
}
