import { formatCode, readCode, type TroubleCode } from './code.ts';
import { type Meaning, meaningOf } from './meaning.ts';
import { faultOf, namesCode, pairReadings } from './pair.ts';
import type { CodeBook } from '../rulebook/code-book.ts';
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
  /** Steps that name it or that it asks for, those that took among them. */
  readonly called: readonly Pick<StepTie, 'id' | 'title' | 'state'>[];
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
  const pairs = pairReadings(before, after);
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

/** Each fault once; one that is told with failure type `00` and without any is one. */
function merged(codes: readonly SeenCode[]): Seen[] {
  const found = new Map<string, Seen>();
  for (const { code: text, kept = [], modules = [] } of codes) {
    const code = readCode(text);
    if (!code) throw new RangeError(`\`${text}\` is no trouble code`);
    const had = found.get(faultOf(code));
    const shorter = had && had.text <= formatCode(code);
    found.set(faultOf(code), {
      text: shorter ? had.text : formatCode(code),
      code: shorter ? had.code : code,
      kept: [...new Set([...(had?.kept ?? []), ...kept])],
      modules: [...new Set([...(had?.modules ?? []), ...modules])],
    });
  }
  return [...found.values()];
}

function judge(seen: Seen, change: ComparedCode['change'], facts: CompareFacts): ComparedCode {
  const meaning = meaningByAll(seen, facts);
  const all = facts.steps ?? [];
  const named = all.filter((step) => namesCode(step.codes, seen.text));
  const asked = meaning.calls.flatMap((id) => all.find((step) => step.id === id) ?? []);
  const steps = [...new Set([...named, ...asked])];
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
    called: steps.map(({ id, title, state }) => ({ id, title, state })),
    unexplained,
    says: sentence(seen, change, ties, driven, back, meaning),
  };
}

/** What it asks for is told by the module, so each that tells the code has its say. */
function meaningByAll({ text, modules }: Seen, { book, makers }: CompareFacts): Meaning {
  const [first, ...others] = (modules.length > 0 ? modules : [null]).map((module) =>
    meaningOf(text, book, { module, makers }),
  ) as [Meaning, ...Meaning[]];
  return { ...first, calls: [...new Set([first, ...others].flatMap(({ calls }) => calls))] };
}

function tiesOf(seen: Seen, steps: readonly StepTie[], facts: CompareFacts): Tie[] {
  const person = Object.entries(facts.explained ?? {}).find(([text]) => sameText(text, seen));
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
      .filter(({ codes }) => namesCode(codes, seen.text))
      .map(({ id, title }): Tie => ({ kind: 'line', id, because: `left by the work: ${title}` })),
    ...(person ? [{ kind: 'person' as const, id: person[0], because: person[1] }] : []),
  ];
}

function sameText(text: string, { code }: Seen): boolean {
  const read = readCode(text);
  return read !== null && faultOf(read) === faultOf(code);
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
