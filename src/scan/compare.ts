import { formatCode, readCode, sameFault, type TroubleCode } from './code.ts';
import { type Meaning, meaningOf } from './meaning.ts';
import type { CodeBook } from './schema.ts';
import type { Kept } from './status.ts';

export interface SeenCode {
  /** `P0507` or `C0529-54` */
  readonly code: string;
  readonly kept?: readonly Kept[];
  /** Ids of modules, as `find-modules.ts` has them, or what the report calls them. */
  readonly modules?: readonly string[];
}

/** A step of the checklist, as far as codes are concerned. */
export interface StepTie {
  readonly id: string;
  readonly title: string;
  readonly state: 'open' | 'took' | 'not-done';
  /** Codes that its follow-up names. */
  readonly codes: readonly string[];
  /** It ends on the road or with the owner. */
  readonly untilDriven?: boolean;
}

/** A work line: codes that unplugging or fitting that part leaves, as the shop or the rules name them. */
export interface LineTie {
  readonly id: string;
  readonly title: string;
  readonly codes: readonly string[];
}

export interface CompareFacts {
  /** Null: nobody read before. Then nothing can be called new. */
  readonly before: readonly SeenCode[] | null;
  readonly after: readonly SeenCode[];
  readonly steps?: readonly StepTie[];
  readonly lines?: readonly LineTie[];
  /** What a person wrote of a code. */
  readonly explained?: Readonly<Record<string, string>>;
  readonly book: CodeBook;
  readonly makers?: readonly string[];
}

export interface Tie {
  readonly kind: 'step' | 'line' | 'person';
  readonly id: string;
  readonly because: string;
}

export interface ComparedCode {
  /** As the after-reading has it; as before where it is gone. */
  readonly code: string;
  /** `there`: read after, and nobody read before. */
  readonly change: 'gone' | 'stays' | 'new' | 'there';
  /** It is expected to stay until the car has been driven. */
  readonly untilDriven: boolean;
  readonly kept: readonly Kept[];
  readonly modules: readonly string[];
  readonly meaning: Meaning;
  readonly ties: readonly Tie[];
  /** Still there and tied to nothing: it holds the car until somebody explains it. */
  readonly unexplained: boolean;
  /** One sentence: what became of it and whose it is. */
  readonly says: string;
}

export interface Comparison {
  /** New ones first, then those that stay, then those gone; by code within. */
  readonly codes: readonly ComparedCode[];
  readonly counts: Readonly<Record<ComparedCode['change'], number>>;
  readonly unexplained: readonly string[];
  readonly summary: string;
}

const ORDER: readonly ComparedCode['change'][] = ['new', 'there', 'stays', 'gone'];

/** Codes before the work against codes after it, each tied to what explains it. Throws a RangeError for what is no code. */
export function compareCodes(facts: CompareFacts): Comparison {
  const after = merged(facts.after);
  const before = merged(facts.before ?? []);
  const pairs = match(before, after);
  const seen = after.map((now): ComparedCode => {
    const was = pairs.get(now);
    return judge(now, facts.before === null ? 'there' : was ? 'stays' : 'new', facts);
  });
  const used = new Set(pairs.values());
  const gone = before.filter((was) => !used.has(was)).map((was) => judge(was, 'gone', facts));
  const codes = [...seen, ...gone].sort(
    (a, b) => ORDER.indexOf(a.change) - ORDER.indexOf(b.change) || (a.code < b.code ? -1 : a.code > b.code ? 1 : 0),
  );
  const count = (change: ComparedCode['change']): number => codes.filter((code) => code.change === change).length;
  const counts = { gone: count('gone'), stays: count('stays'), new: count('new'), there: count('there') };
  const unexplained = codes.filter((code) => code.unexplained).map(({ code }) => code);
  return { codes, counts, unexplained, summary: summary(counts, unexplained, facts.before !== null) };
}

interface Seen {
  readonly text: string;
  readonly code: TroubleCode;
  readonly kept: readonly Kept[];
  readonly modules: readonly string[];
}

function merged(codes: readonly SeenCode[]): Seen[] {
  const found = new Map<string, Seen>();
  for (const { code: text, kept = [], modules = [] } of codes) {
    const code = readCode(text);
    if (!code) throw new RangeError(`\`${text}\` is no trouble code`);
    const had = found.get(text);
    found.set(text, {
      text: formatCode(code),
      code,
      kept: [...new Set([...(had?.kept ?? []), ...kept])],
      modules: [...new Set([...(had?.modules ?? []), ...modules])],
    });
  }
  return [...found.values()];
}

/** Each code after to one before: the same to the letter first, then one whose failure type the other reading left open. */
function match(before: readonly Seen[], after: readonly Seen[]): Map<Seen, Seen> {
  const pairs = new Map<Seen, Seen>();
  const used = new Set<Seen>();
  for (const same of [(a: Seen, b: Seen) => a.text === b.text, (a: Seen, b: Seen) => sameFault(a.code, b.code)])
    for (const now of after) {
      if (pairs.has(now)) continue;
      const was = before.find((candidate) => !used.has(candidate) && same(candidate, now));
      if (!was) continue;
      pairs.set(now, was);
      used.add(was);
    }
  return pairs;
}

function judge(seen: Seen, change: ComparedCode['change'], facts: CompareFacts): ComparedCode {
  const meaning = meaningOf(seen.text, facts.book, { module: seen.modules[0], makers: facts.makers });
  const steps = (facts.steps ?? []).filter((step) => names(step.codes, seen.code) || meaning.calls.includes(step.id));
  const ties = tiesOf(seen, steps, facts);
  const driven = change !== 'gone' && isUntilDriven(seen, steps);
  const back = change === 'gone' ? [] : steps.filter(({ state }) => state === 'took');
  const unexplained =
    change !== 'gone' && ties.length === 0 && !(driven && seen.kept.includes('permanent') && change === 'stays');
  return {
    code: seen.text,
    change,
    untilDriven: driven,
    kept: seen.kept,
    modules: seen.modules,
    meaning,
    ties,
    unexplained,
    says: sentence(seen, change, ties, driven, back, meaning),
  };
}

function tiesOf(seen: Seen, steps: readonly StepTie[], facts: CompareFacts): Tie[] {
  const person = Object.entries(facts.explained ?? {}).find(([code]) => code === seen.text);
  return [
    ...steps
      .filter(({ state }) => state !== 'took')
      .map(
        ({ id, title, state }): Tie => ({
          kind: 'step',
          id,
          because: `${title} is ${state === 'open' ? 'still open' : 'not done'}`,
        }),
      ),
    ...(facts.lines ?? [])
      .filter(({ codes }) => names(codes, seen.code))
      .map(({ id, title }): Tie => ({ kind: 'line', id, because: `left by the work: ${title}` })),
    ...(person ? [{ kind: 'person' as const, id: seen.text, because: person[1] }] : []),
  ];
}

/** A name without a failure type speaks of all of them; a reading without one may be any. */
function names(codes: readonly string[], code: TroubleCode): boolean {
  return codes.some((text) => {
    const named = readCode(text);
    if (!named || named.base !== code.base) return false;
    return named.failureType === null || sameFault(named, code);
  });
}

/** Permanent codes go only when the car has found the fault gone (13 CCR 1968.2 (d)(2.5)); some steps end on the road. */
function isUntilDriven({ kept }: Seen, steps: readonly StepTie[]): boolean {
  return kept.includes('permanent') || steps.some(({ untilDriven, state }) => untilDriven && state === 'open');
}

function sentence(
  { kept }: Seen,
  change: ComparedCode['change'],
  ties: readonly Tie[],
  driven: boolean,
  back: readonly StepTie[],
  { calls, because }: Meaning,
): string {
  const WHAT = { gone: 'gone', stays: 'still there', new: 'was not there before', there: 'there; nobody read before' };
  const parts: string[] = [WHAT[change]];
  if (change === 'gone') return 'gone';
  if (back.length > 0) parts.push(`${back.map(({ title }) => title).join(', ')} took, yet its code is there`);
  if (ties.length > 0) parts.push(ties.map((tie) => tie.because).join('; '));
  if (driven)
    parts.push(
      kept.includes('permanent')
        ? 'permanent: goes only when the car finds the fault gone, on the road'
        : 'expected until the car has been driven',
    );
  if (ties.length === 0 && because)
    parts.push(calls.length > 0 ? `${because}: it asks for ${calls.join(' or ')}` : because);
  if (ties.length === 0 && !driven)
    parts.push(
      change === 'new'
        ? 'ours until shown otherwise'
        : change === 'stays'
          ? 'came with the car; no work line and no open step explains it'
          : 'explained by nothing',
    );
  return parts.join('; ');
}

function summary(counts: Comparison['counts'], unexplained: readonly string[], read: boolean): string {
  const parts = read
    ? [`${counts.gone} gone`, `${counts.stays} still there`, `${counts.new} new`]
    : [`${counts.there} there; nobody read before, so none can be called new`];
  const held = unexplained.length === 0 ? 'none is unexplained' : `unexplained: ${unexplained.join(', ')}`;
  return `${parts.join(', ')}; ${held}`;
}
