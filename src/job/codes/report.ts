import { findCodes, type MaybeCode } from '../../scan/find-codes.ts';
import type { ReplyFault } from '../../scan/reply.ts';
import { codesInReplies } from '../../scan/reply-codes.ts';
import type { Kept } from '../../scan/status.ts';
import { type CodeRead, keptOf } from './kept.ts';

/** A code in a report, with what a person compares it with before ticking it. */
export interface FoundRow {
  readonly code: string;
  /** Modules that reported it: our ids, else as the report has them. */
  readonly modules: readonly string[];
  readonly kept: readonly Kept[];
  /** Line of the text, from 1; null where it was taken out of hex replies. */
  readonly line: number | null;
  /** The words it stands in, as they were pasted. */
  readonly text: string;
  /** As the record takes it: once for each module. */
  readonly read: readonly CodeRead[];
}

export interface ReportRead {
  readonly rows: readonly FoundRow[];
  readonly maybe: readonly MaybeCode[];
  readonly moreMaybe: number;
  /** VINs that the report names. */
  readonly vins: readonly string[];
  /** The report is of another car; nothing is taken from it. */
  readonly otherCar: { readonly report: string; readonly job: string } | null;
  /** Lines of hex that could not be read: what they said is lost. */
  readonly faults: readonly ReplyFault[];
}

const MOST_CODES = 500;
const MOST_WORDS = 300;

/**
 * Codes of a report of any tool: hex replies where there are any that list codes, else text. Pure; nothing in it is taken
 * down by itself.
 * @param types failure types that exist, as in rules/codes.json
 */
export function readReport(text: string, types: ReadonlySet<string>, vin: string | undefined): ReportRead {
  const replies = codesInReplies(text);
  const found = findCodes(text, types);
  const { vins } = found;
  const ours = vin?.toUpperCase();
  const report = vins[0];
  const otherCar = ours && report && !vins.includes(ours) ? { report, job: ours } : null;
  const about = { vins, otherCar };
  if (otherCar) return { rows: [], maybe: [], moreMaybe: 0, faults: [], ...about };
  if (replies.lists.length > 0)
    return { rows: rowsOfReplies(replies.codes), maybe: [], moreMaybe: 0, faults: replies.faults, ...about };
  const lines = text.split(/\r\n|[\n\r\f\u0085\u2028\u2029]/);
  const rows = found.codes.slice(0, MOST_CODES).map(({ code, modules, kept, line }) => {
    const words = (lines[line - 1] ?? '').trim().slice(0, MOST_WORDS);
    return rowOf(
      code,
      modules.map(({ id, text: named }) => id ?? named),
      kept,
      line,
      words,
    );
  });
  return { rows, maybe: found.maybe, moreMaybe: found.moreMaybe, faults: [], ...about };
}

/** One code that a person typed or said yes to. */
export function rowOf(
  code: string,
  modules: readonly string[],
  kept: readonly Kept[],
  line: number | null,
  text: string,
): FoundRow {
  const said = withKept(code, kept, text);
  const read = modules.length === 0 ? [undefined] : [...new Set(modules)];
  return {
    code,
    modules,
    kept,
    line,
    text,
    read: read.map((module) => ({
      code,
      ...(module ? { module: module.slice(0, 200) } : {}),
      ...(said ? { text: said } : {}),
    })),
  };
}

/** The words of the report; what only a heading said of the code is put before them, so that it is read out again. */
function withKept(code: string, kept: readonly Kept[], text: string): string {
  if (kept.every((one) => keptOf({ code, text }).includes(one))) return text;
  return `${code} (${kept.join(') (')})${text && text !== code ? `: ${text}` : ''}`;
}

function rowsOfReplies(codes: ReturnType<typeof codesInReplies>['codes']): FoundRow[] {
  const known = new Map<string, { modules: string[]; kept: Set<Kept> }>();
  for (const { code, module, kept } of codes.slice(0, MOST_CODES)) {
    const had = known.get(code) ?? { modules: [], kept: new Set<Kept>() };
    known.set(code, had);
    if (module) had.modules.push(module);
    for (const one of kept) had.kept.add(one);
  }
  return [...known].map(([code, { modules, kept }]) => rowOf(code, [...new Set(modules)], [...kept], null, code));
}
