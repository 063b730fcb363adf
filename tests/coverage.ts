import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { judge } from '../src/resolve/judge.ts';
import { readFacts } from '../src/resolve/facts.ts';
import { type Resolution, resolve } from '../src/resolve/resolve.ts';
import type { Hit } from '../src/resolve/work.ts';
import { printFault } from '../src/rulebook/fault.ts';
import type { FollowUp, Trigger } from '../src/rulebook/rulebook.ts';
import type { Example } from '../src/rulebook/schema.ts';
import { rulebook } from './real-rulebook.ts';

/** How far the rulebook reaches, counted: triggers by tried examples, facts by cases, figures by how they are known. */

const CASES = new URL('./cases/', import.meta.url);
/** Facts of the trade with their sources; they are not part of the project, and may be absent. */
const FACTS = new URL('../../shared/facts/', import.meta.url);

/** A job with what is asserted of it: of one follow-up, of some, or (a whole job) of all. */
interface Tried {
  readonly resolution: Resolution;
  readonly says: (followUp: string) => string | undefined;
}

/** Tries of one trigger: it speaks, it stays out though its work or code is there (or is not there), it rests on a question. */
export interface TriggerTries {
  readonly followUp: string;
  readonly index: number;
  readonly speaks: boolean;
  readonly staysOut: boolean;
  /** Undefined where nothing about it can be unknown. */
  readonly open: boolean | undefined;
}

export function triggerTries(): TriggerTries[] {
  const cases = [...factCases(), ...wholeJobs()];
  return [...rulebook.followUps.values()].flatMap((followUp) => {
    const tried = [...examplesOf(followUp), ...cases.filter((c) => c.says(followUp.id) !== undefined)];
    return followUp.triggers.filter((t) => t.index >= 0).map((trigger) => triesOf(followUp, trigger, tried));
  });
}

function triesOf(followUp: FollowUp, trigger: Trigger, tried: readonly Tried[]): TriggerTries {
  const conditional = followUp.fits.variables.length > 0 || trigger.applies.length > 0;
  const canRest = conditional || trigger.work.some((match) => match.at);
  const outcomes = tried.map((one) => outcomeOf(followUp, trigger, one));
  return {
    followUp: followUp.id,
    index: trigger.index,
    speaks: outcomes.includes('speaks'),
    staysOut: outcomes.includes('out') || (!conditional && outcomes.includes('untouched')),
    open: canRest ? outcomes.includes('open') : undefined,
  };
}

/** What this one trigger comes to on a tried job; only where the verdict asserted there agrees. */
function outcomeOf(followUp: FollowUp, trigger: Trigger, { resolution, says }: Tried): string | undefined {
  const asserted = says(followUp.id);
  const hits = (resolution.entries.get(followUp.id)?.hits ?? []).filter((hit) => hit.call.trigger === trigger);
  if (hits.length === 0) return asserted === 'excluded' ? 'untouched' : undefined;
  const alone = judge(followUp, hits.map(asCalling), resolution.known).kind;
  if (trigger.level === 'not-needed')
    return alone === 'excluded' ? 'out' : alone === 'needed' && asserted === 'excluded' ? 'speaks' : 'open';
  if (alone === 'needed') return asserted === 'needed' ? 'speaks' : undefined;
  if (alone === 'undecided') return asserted === 'excluded' ? undefined : 'open';
  return 'out';
}

/** A not-needed asked as though it called for the step, to see whether it applies. */
function asCalling(hit: Hit): Hit {
  if (hit.call.trigger.level !== 'not-needed') return hit;
  return { ...hit, call: { ...hit.call, trigger: { ...hit.call.trigger, level: 'required' } } };
}

function examplesOf(followUp: FollowUp): Tried[] {
  return followUp.text.examples.map((example) => ({
    resolution: resolved(jobOf(example)),
    says: (id) => (id === followUp.id ? example.verdict : undefined),
  }));
}

interface CaseText {
  readonly job: object;
  readonly needed?: Readonly<Record<string, unknown>>;
  readonly undecided?: Readonly<Record<string, unknown>>;
  readonly excluded?: Readonly<Record<string, unknown>>;
}

function factCases(): Tried[] {
  return Object.values(factTexts()).map(({ job, ...text }) => ({
    resolution: resolved(job),
    says: (id) => verdictIn(text, id),
  }));
}

function wholeJobs(): Tried[] {
  return filesIn('jobs').map((text) => {
    const { job, ...said } = text as unknown as CaseText;
    return { resolution: resolved(job), says: (id) => verdictIn(said, id) ?? 'excluded' };
  });
}

function verdictIn(text: Omit<CaseText, 'job'>, id: string): string | undefined {
  for (const verdict of ['needed', 'undecided', 'excluded'] as const) if (id in (text[verdict] ?? {})) return verdict;
  return undefined;
}

function filesIn(folder: string): Record<string, CaseText>[] {
  return readdirSync(new URL(`${folder}/`, CASES))
    .filter((file) => file.endsWith('.json'))
    .map((file) => JSON.parse(readFileSync(new URL(`${folder}/${file}`, CASES), 'utf8')) as Record<string, CaseText>);
}

/** Fact cases by name; a name begins with the fact's id. */
export function factTexts(): Record<string, CaseText> {
  return Object.assign({}, ...filesIn('facts')) as Record<string, CaseText>;
}

/** Facts that no case reproduces: id to the reason. */
export function writtenOff(): Record<string, string> {
  return JSON.parse(readFileSync(new URL('written-off.json', CASES), 'utf8')) as Record<string, string>;
}

/** Ids of all facts of the trade; undefined where they are not at hand. */
export function factIds(): string[] | undefined {
  if (!existsSync(FACTS)) return undefined;
  return readdirSync(FACTS)
    .filter((file) => file.endsWith('.jsonl'))
    .flatMap((file) => readFileSync(new URL(file, FACTS), 'utf8').trim().split('\n'))
    .map((line) => (JSON.parse(line) as { id: string }).id);
}

function resolved(job: object): Resolution {
  const { facts, faults } = readFacts({ ro: 'tried', ...job }, rulebook);
  if (!facts) throw new Error(faults.map(printFault).join('\n'));
  return resolve(facts, rulebook);
}

/** The job that an example stands for; "part did position" is one work line. */
function jobOf(example: Example): object {
  const { work = [], codes, maker, model, 'model-year': modelYear, traits, answers, 'work-done': workDone } = example;
  return {
    vehicle: { maker, model, modelYear, traits },
    work: work.map((line) => {
      const [part, did, ...at] = line.trim().split(/\s+/);
      return { part, did, ...(at.length > 0 ? { at } : {}) };
    }),
    ...(answers ? { answers } : {}),
    ...(workDone === undefined ? {} : { 'work-done': workDone }),
    ...(codes ? { codes: { before: codes } } : {}),
  };
}

export const BASES = ['read', 'memory', 'common-practice'] as const;
export type Basis = (typeof BASES)[number];

/** Of all figures (limits, drives, tries, lags, waits with a source of their own or of their way) how many are known in which way. */
export function figuresByBasis(): Record<Basis, number> & { unstated: number } {
  const count = { read: 0, memory: 0, 'common-practice': 0, unstated: 0 };
  for (const followUp of rulebook.followUps.values())
    for (const sources of figuresOf(followUp.text, [])) count[best(followUp, sources)]++;
  return count;
}

/** The best basis of those that a figure names. */
function best(followUp: FollowUp, sources: readonly string[]): Basis | 'unstated' {
  const bases = followUp.text.sources.filter((use) => sources.includes(use.id)).map((use) => use.basis);
  return BASES.find((basis) => bases.includes(basis)) ?? 'unstated';
}

const FIGURES = ['min', 'max', 'most', 'within', 'later', 'from-km/h', 'to-km/h', 'km', 'seconds', 'wait', 'usual'];

/** The sources of each node that holds a figure: its own, else those of the nearest node above. */
function* figuresOf(node: unknown, above: readonly string[]): Iterable<readonly string[]> {
  if (Array.isArray(node)) {
    for (const item of node) yield* figuresOf(item, above);
  } else if (node !== null && typeof node === 'object') {
    const fields = node as Record<string, unknown>;
    const own = Array.isArray(fields.sources) && fields.sources.every((s) => typeof s === 'string');
    const sources = own ? (fields.sources as string[]) : above;
    if (FIGURES.some((name) => name in fields)) yield sources;
    for (const [name, value] of Object.entries(fields))
      if (!['examples', 'sources', 'if', 'scope'].includes(name) && !FIGURES.includes(name))
        yield* figuresOf(value, sources);
  }
}

/** Follow-ups in which some maker speaks: in a scope or in a condition. */
export function withMakerScope(): number {
  return [...rulebook.followUps.values()].filter(({ text }) => /"makers":|"var":"maker"/.test(JSON.stringify(text)))
    .length;
}

/** Makers that some rule names, in a scope. */
export function makersSpoken(): number {
  const scopes = [
    ...JSON.stringify([...rulebook.followUps.values()].map((f) => f.text)).matchAll(/"makers":(\[[^\]]*\])/g),
  ];
  return new Set(scopes.flatMap((match) => JSON.parse(match[1] ?? '[]') as string[])).size;
}

const GOLDEN = new URL('./golden/', import.meta.url);

/** Printed tables of makers that are held row by row, with how many rows. */
export function printedTables(): { tables: number; rows: number } {
  const tables = readdirSync(GOLDEN, { recursive: true })
    .map(String)
    .filter((file) => file.endsWith('.json'))
    .map((file) => JSON.parse(readFileSync(new URL(file, GOLDEN), 'utf8')) as { source?: string; rows?: unknown[] })
    .filter((table) => table.source && table.rows);
  return { tables: tables.length, rows: tables.reduce((sum, table) => sum + (table.rows?.length ?? 0), 0) };
}
