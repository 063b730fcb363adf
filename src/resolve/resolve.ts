import { type Condition, EITHER, NEVER, SURELY } from '../rulebook/condition.ts';
import { callsOfCodes } from '../rulebook/index-calls.ts';
import type { Applies, FollowUp, Rulebook, StepWork } from '../rulebook/rulebook.ts';
import type { Entry, Pull } from './entry.ts';
import type { Facts } from './facts.ts';
import { type Judgement, judge } from './judge.ts';
import { conditionsOf } from './space.ts';
import { Known } from './known.ts';
import { Pulls } from './pull.ts';
import type { CallLevel, Kind, Verdict } from './result.ts';
import { verdictOf } from './verdict.ts';
import { type PlannedWays, planWays } from './ways.ts';
import { closeWork, type Hit, hitsOf, type KeyedLine, mostLevel, workOfStep } from './work.ts';

/** Which follow-ups a job needs, may need or does not need, and why. */
export interface Resolution {
  readonly facts: Facts;
  readonly rulebook: Rulebook;
  readonly known: Known;
  /** The order's lines with all that follows from them. */
  readonly lines: readonly KeyedLine[];
  /** In order of id; a follow-up that nothing touched is not here and is excluded. */
  readonly verdicts: ReadonlyMap<string, Verdict>;
  readonly ways: ReadonlyMap<string, PlannedWays>;
  /** Lines that steps do, by step: their triggers make the step an upsetter. */
  readonly stepLines: ReadonlyMap<string, readonly KeyedLine[]>;
  /** What the verdicts were read from. */
  readonly entries: ReadonlyMap<string, Entry>;
}

/**
 * First the work closes over itself (lines imply lines, steps do work), then states pull their leavers; both only ever
 * add, so the order of files, triggers and lines does not matter.
 */
export function resolve(facts: Facts, rulebook: Rulebook): Resolution {
  const run = new Run(facts, rulebook);
  run.closeOverWork();
  run.closeOverStates();
  return run.result();
}

/** What is found without writing reasons: entries that are not there are excluded. */
export type Found = Pick<Resolution, 'entries' | 'ways'>;

/** What one more answer, to `changed`, comes to: for trying what it would settle. */
export function after(facts: Facts, before: Resolution, changed: string): Found {
  const run = new Run(facts, before.rulebook, { before, changed });
  run.closeOverWork();
  run.closeOverStates();
  return run;
}

/** The verdicts alone after one more answer. What is not there is excluded. */
export function kindsAfter(facts: Facts, before: Resolution, changed: string): ReadonlyMap<string, Kind> {
  return new Map([...after(facts, before, changed).entries].map(([id, entry]) => [id, entry.kind]));
}

const STRENGTH: Record<Kind, number> = { excluded: 0, undecided: 1, needed: 2 };
const UNTOUCHED: Judgement = { kind: 'excluded', level: 'recommended', speaking: [], decides: [], grades: [] };

class Run {
  private readonly known: Known;
  readonly entries = new Map<string, Entry>();
  private readonly stepLines = new Map<string, KeyedLine[]>();
  readonly ways = new Map<string, PlannedWays>();
  private readonly lines: KeyedLine[];
  private pulls: Pulls | undefined;

  constructor(
    private readonly facts: Facts,
    private readonly rulebook: Rulebook,
    private readonly near?: { readonly before: Resolution; readonly changed: string },
  ) {
    this.known = new Known(facts.car, rulebook.domains, near && { known: near.before.known, changed: near.changed });
    this.lines = closeWork(facts, rulebook, this.known);
    for (const line of this.lines) this.take(line);
    for (const call of callsOfCodes(facts.codes, rulebook.callsByCode)) this.hit({ call });
  }

  closeOverWork(): void {
    for (let changed = true; changed; ) {
      changed = false;
      // Entries that come in on the way are settled in the same round.
      for (const entry of this.entries.values()) {
        if (!entry.stale && !entry.pulled) continue;
        this.settle(entry);
        changed = true;
      }
    }
  }

  closeOverStates(): void {
    const calledFor = new Map([...this.entries].map(([id, entry]) => [id, entry.own.kind]));
    this.pulls = new Pulls(this.facts, this.rulebook, this.known, calledFor);
    for (const entry of Array.from(this.entries.values())) if (entry.kind !== 'excluded') this.pull(entry);
    this.closeOverWork();
  }

  /** Judges an entry anew where something came to it; where its verdict grew stronger, it may touch others. */
  private settle(entry: Entry): void {
    if (entry.stale) entry.own = this.judgedBefore(entry) ?? judge(entry.followUp, entry.hits, this.known);
    entry.stale = false;
    entry.pulled = false;
    const fits = this.known.fits(entry.followUp);
    const { kind, required } = entry;
    entry.kind = strongest(entry.own.kind, pulledKind(entry, fits));
    entry.required =
      (entry.own.kind !== 'excluded' && entry.own.level === 'required') ||
      [...entry.pulls.values()].some((p) => p.required);
    if (entry.kind === 'excluded' || (entry.kind === kind && entry.required === required)) return;
    this.doWork(entry);
    this.pull(entry);
  }

  private waysOf(followUp: FollowUp): PlannedWays {
    const known = this.ways.get(followUp.id);
    if (known) return known;
    const ways = this.waysBefore(followUp) ?? planWays(followUp, this.known, this.facts.tools);
    this.ways.set(followUp.id, ways);
    return ways;
  }

  /** The judgement before the one more answer, where neither the hits are others nor anything in them names it. */
  private judgedBefore(entry: Entry): Judgement | undefined {
    const before = this.near?.before.entries.get(entry.followUp.id);
    if (!before || before.hits.length !== entry.hits.length || names(entry.followUp.fits, this.near?.changed))
      return undefined;
    const same = entry.hits.every((hit, i) => sameHit(hit, before.hits[i] as Hit) && !turnsOn(hit, this.near?.changed));
    return same ? before.own : undefined;
  }

  private waysBefore(followUp: FollowUp): PlannedWays | undefined {
    if (!this.near || followUp.ways.some((way) => way.applies.some((c) => names(c, this.near?.changed))))
      return undefined;
    return this.near.before.ways.get(followUp.id);
  }

  /** A step's own work fires triggers as a work line would. */
  private doWork(entry: Entry): void {
    const { followUp } = entry;
    const ways = this.waysOf(followUp);
    const does = worksOf(followUp, ways);
    if (does.length === 0) return;
    const undecided = entry.kind === 'undecided' ? [`step:${followUp.id}`] : [];
    const had = this.stepLines.get(followUp.id);
    const level: CallLevel = entry.required ? 'required' : 'recommended';
    if (had && sameWork(had[0] as KeyedLine, undecided, level)) return;
    const lines = does.flatMap(({ work, key, more, flags }) =>
      workOfStep(followUp, work, key, more, [...undecided, ...flags], level, this.facts, this.rulebook, this.known),
    );
    if (had) this.drop(had);
    this.stepLines.set(followUp.id, lines);
    for (const line of lines) this.take(line);
  }

  private pull(entry: Entry): void {
    if (!this.pulls) return;
    for (const { target, pull } of this.pulls.of(entry, this.waysOf(entry.followUp))) {
      const into = this.entry(target);
      const key = `${pull.by.id}/${pull.state.id}/${pull.how}`;
      const had = into.pulls.get(key);
      const stronger = had ? strongerOf(had, pull) : pull;
      if (stronger === had) continue;
      into.pulls.set(key, stronger);
      into.pulled = true;
    }
  }

  private take(line: KeyedLine): void {
    for (const hit of hitsOf(line, this.rulebook)) this.hit(hit);
  }

  private hit(hit: Hit): void {
    const entry = this.entry(hit.call.followUp);
    entry.hits.push(hit);
    entry.stale = true;
  }

  private drop(lines: readonly KeyedLine[]): void {
    for (const entry of this.entries.values()) {
      const left = entry.hits.filter((hit) => !hit.line || !lines.includes(hit.line));
      if (left.length !== entry.hits.length) [entry.hits, entry.stale] = [left, true];
    }
  }

  private entry(followUp: FollowUp): Entry {
    const known = this.entries.get(followUp.id);
    if (known) return known;
    const made: Entry = {
      followUp,
      hits: [],
      stale: false,
      pulled: false,
      own: UNTOUCHED,
      pulls: new Map(),
      kind: 'excluded',
      required: false,
    };
    this.entries.set(followUp.id, made);
    return made;
  }

  result(): Resolution {
    const { facts, rulebook, known, lines, stepLines, ways } = this;
    const ids = [...this.entries.keys()].sort();
    const covered = this.covered(ids);
    const verdicts = new Map(
      ids.map((id): [string, Verdict] => [
        id,
        verdictOf(this.entries.get(id) as Entry, this.entries, covered, ways, known, facts),
      ]),
    );
    for (const verdict of verdicts.values()) if (verdict.kind !== 'excluded') this.waysOf(verdict.followUp);
    return { facts, rulebook, known, lines, verdicts, ways, stepLines, entries: this.entries };
  }

  /** Who does whom within itself: only a needed step covers, through chains to the outermost. */
  private covered(ids: readonly string[]): Map<string, FollowUp> {
    const by = new Map<string, FollowUp>();
    for (const id of ids) {
      const entry = this.entries.get(id) as Entry;
      if (entry.kind !== 'needed') continue;
      for (const cover of entry.followUp.covers) {
        const inner = this.entries.get(cover.step);
        if (!inner || inner.kind === 'excluded' || this.known.all(cover.applies) !== SURELY || by.has(cover.step))
          continue;
        // Two that cover each other must not both vanish within the other.
        if (!isWithin(id, cover.step, by)) by.set(cover.step, entry.followUp);
      }
    }
    return by;
  }
}

function names(condition: Condition, variable: string | undefined): boolean {
  return variable !== undefined && condition.variables.includes(variable);
}

/** A line's key says by which rows it came about, and so on which conditions it rests. */
function sameHit(a: Hit, b: Hit): boolean {
  if (a.call !== b.call || a.where?.variable !== b.where?.variable || a.line?.key !== b.line?.key) return false;
  return a.line?.flags.join() === b.line?.flags.join() && mostLevel(a.line) === mostLevel(b.line);
}

function turnsOn(hit: Hit, question: string | undefined): boolean {
  if (question === undefined) return false;
  return (
    hit.where?.variable === question ||
    (hit.line?.flags.includes(question) ?? false) ||
    conditionsOf(hit).some((c) => names(c, question))
  );
}

interface Work {
  readonly work: StepWork;
  /** Counted through all ways, so that it means the same work whichever way is open. */
  readonly key: string;
  readonly more: Applies;
  readonly flags: readonly string[];
}

/** A way behind the first possible one is taken only if those before it turn out not to fit. */
function worksOf(followUp: FollowUp, ways: PlannedWays): Work[] {
  const own = followUp.does.map((work) => ({ work, more: [], flags: [], open: true }));
  const byWay = followUp.ways.flatMap((way) =>
    way.does.map((work) => ({
      work,
      more: way.applies,
      flags: ways.open[0] === way ? [] : [`way:${followUp.id}`],
      open: ways.open.includes(way),
    })),
  );
  return [...own, ...byWay].map((work, i) => ({ ...work, key: `${followUp.id}/${i}` })).filter((work) => work.open);
}

/** Two needs of one state, or one need seen twice: the surest and strongest of both; the first one itself where the second adds nothing. */
function strongerOf(had: Pull, pull: Pull): Pull {
  const sure = had.sure || pull.sure;
  const required = had.required || pull.required;
  const decides = [...new Set([...had.decides, ...pull.decides])];
  if (sure === had.sure && required === had.required && decides.length === had.decides.length) return had;
  return { ...(pull.sure && !had.sure ? pull : had), sure, required, decides };
}

/** Whether a step's lines still stand as they did: neither decided since, nor raised to required. */
function sameWork(line: KeyedLine, undecided: readonly string[], level: CallLevel): boolean {
  const was = line.origin.kind === 'step' ? line.origin.level : level;
  return was === level && line.flags.some((flag) => flag.startsWith('step:')) === undecided.length > 0;
}

function pulledKind(entry: Entry, fits: number): Kind {
  if (entry.pulls.size === 0 || fits === NEVER) return 'excluded';
  return fits !== EITHER && [...entry.pulls.values()].some((pull) => pull.sure) ? 'needed' : 'undecided';
}

function isWithin(id: string, outer: string, covered: ReadonlyMap<string, FollowUp>): boolean {
  for (let at: string | undefined = id; at !== undefined; at = covered.get(at)?.id) if (at === outer) return true;
  return false;
}

function strongest(a: Kind, b: Kind): Kind {
  return STRENGTH[a] >= STRENGTH[b] ? a : b;
}
