import { type Condition, EITHER, MOST_ROWS, NEVER } from '../rulebook/condition.ts';
import type { Value } from '../rulebook/domain.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Level } from '../rulebook/schema.ts';
import type { Known } from './known.ts';
import type { CallLevel, Kind } from './result.ts';
import { type Hit, type KeyedLine, mostLevel } from './work.ts';

/** What the work and the codes alone say of one follow-up. */
export interface Judgement {
  readonly kind: Kind;
  readonly level: CallLevel;
  /** Hits that speak on some car that this one can still be; `sure` = on all of them. */
  readonly speaking: readonly { readonly hit: Hit; readonly sure: boolean }[];
  /** Variables on which the verdict turns. */
  readonly decides: readonly string[];
  /** Variables on which required or recommended turns, where it is called for. */
  readonly grades: readonly string[];
}

const NOTHING: Judgement = { kind: 'excluded', level: 'recommended', speaking: [], decides: [], grades: [] };
const [NONE, RECOMMENDED, REQUIRED] = [0, 1, 2];

function strengthOf(level: Level): number {
  return level === 'required' ? REQUIRED : level === 'recommended' ? RECOMMENDED : NONE;
}

/** Hits of one line, which are ranked among themselves. */
interface Group {
  readonly most: number;
  readonly hits: number[];
  /** Groups of the lines this one was implied by. */
  readonly ancestors: number[];
}

/**
 * Complete over all triggers that the job hits together with `fits`: everything still unknown is enumerated jointly.
 * Over 4,096 combinations it stays undecided.
 */
export function judge(followUp: FollowUp, all: readonly Hit[], known: Known): Judgement {
  if (known.fits(followUp) === NEVER) return NOTHING;
  const hits = all.filter((hit) => known.all(conditionsOf(hit)) !== NEVER);
  if (!hits.some((hit) => hit.call.trigger.level !== 'not-needed')) return NOTHING;
  const space = new Space(followUp, hits, known);
  if (space.size > MOST_ROWS) {
    const required = (hit: Hit) =>
      Math.min(strengthOf(hit.call.trigger.level), strengthOf(mostLevel(hit.line))) === REQUIRED;
    const level = hits.some(required) ? 'required' : 'recommended';
    return {
      kind: 'undecided',
      level,
      speaking: hits.map((hit) => ({ hit, sure: false })),
      decides: space.names,
      grades: [],
    };
  }
  const groups = groupByLine(hits);
  const outcomes = new Uint8Array(space.size);
  const spoken = new Uint16Array(hits.length);
  space.each((row, fits, alive) => {
    outcomes[row] = fits ? speak(hits, groups, alive, spoken) : NONE;
  });
  const least = Math.min(...outcomes);
  const most = Math.max(...outcomes);
  if (most === NONE) return NOTHING;
  return {
    kind: least > NONE ? 'needed' : 'undecided',
    level: most === REQUIRED ? 'required' : 'recommended',
    speaking: hits.flatMap((hit, i) => ((spoken[i] as number) > 0 ? [{ hit, sure: spoken[i] === space.size }] : [])),
    decides: least > NONE ? [] : space.turningOn(outcomes, (a, b) => a > NONE !== b > NONE),
    grades:
      outcomes.includes(RECOMMENDED) && most === REQUIRED
        ? space.turningOn(outcomes, (a, b) => a + b === RECOMMENDED + REQUIRED)
        : [],
  };
}

export function conditionsOf(hit: Hit): readonly Condition[] {
  return hit.line && hit.line.guard.length > 0
    ? [...hit.call.trigger.applies, ...hit.line.guard]
    : hit.call.trigger.applies;
}

function groupByLine(hits: readonly Hit[]): Group[] {
  const groups = new Map<KeyedLine | string, Group>();
  hits.forEach((hit, i) => {
    const key = hit.line ?? (hit.call.code as string);
    const group = groups.get(key);
    if (group) group.hits.push(i);
    else groups.set(key, { most: strengthOf(mostLevel(hit.line)), hits: [i], ancestors: [] });
  });
  const order = [...groups.keys()];
  for (const [key, group] of groups) {
    if (typeof key === 'string') continue;
    for (let origin = key.origin; origin.kind === 'implied'; origin = origin.parent.origin) {
      const at = order.indexOf(origin.parent as KeyedLine);
      if (at >= 0) group.ancestors.push(at);
    }
  }
  return [...groups.values()];
}

/**
 * Per line the highest rank among the triggers that apply speaks; at one rank the stronger level. A not-needed also
 * silences what its line implies, unless that speaks at a higher or equal rank.
 */
function speak(hits: readonly Hit[], groups: readonly Group[], alive: Uint8Array, spoken: Uint16Array): number {
  const says = groups.map((group) => {
    let rank = -1;
    let level = NONE;
    for (const i of group.hits) {
      if (!alive[i]) continue;
      const trigger = (hits[i] as Hit).call.trigger;
      const own = Math.min(strengthOf(trigger.level), group.most);
      if (trigger.rank > rank) [rank, level] = [trigger.rank, own];
      else if (trigger.rank === rank) level = Math.max(level, own);
    }
    return { rank, level };
  });
  let strongest = NONE;
  groups.forEach((group, g) => {
    const { rank, level } = says[g] as { rank: number; level: number };
    const silenced = group.ancestors.some((a) => says[a]?.level === NONE && (says[a]?.rank ?? -1) > rank);
    if (level === NONE || silenced) return;
    strongest = Math.max(strongest, level);
    for (const i of group.hits) {
      const trigger = (hits[i] as Hit).call.trigger;
      if (alive[i] && trigger.rank === rank && trigger.level !== 'not-needed') spoken[i] = (spoken[i] as number) + 1;
    }
  });
  return strongest;
}

/** Everything still unknown that this follow-up's verdict can rest on, as one enumerable space. */
class Space {
  readonly names: string[] = [];
  readonly size: number;
  private readonly choices: (readonly Value[])[] = [];
  private readonly tables: readonly Table[];

  constructor(
    private readonly followUp: FollowUp,
    private readonly hits: readonly Hit[],
    known: Known,
  ) {
    const all = new Set([followUp.fits, ...hits.flatMap(conditionsOf)]);
    const conditions = [...all].filter((c) => known.range(c) === EITHER);
    for (const variable of new Set(conditions.flatMap((c) => c.variables)))
      this.add(
        variable,
        known.choices(
          variable,
          conditions.filter((c) => c.variables.includes(variable)),
        ),
      );
    for (const flag of new Set(hits.flatMap((hit) => hit.line?.flags ?? []))) this.add(flag, ['yes', 'no']);
    for (const hit of hits)
      if (hit.where && !this.names.includes(hit.where.variable)) this.add(hit.where.variable, hit.where.choices);
    this.size = this.choices.reduce((product, c) => product * c.length, 1);
    this.tables = conditions.map((condition) => tableOver(condition, this.names, this.choices));
  }

  private add(name: string, choices: readonly Value[]): void {
    this.names.push(name);
    this.choices.push(choices);
  }

  /** Calls back for each completion: does it fit, and which hits are alive. */
  each(visit: (row: number, fits: boolean, alive: Uint8Array) => void): void {
    const alive = new Uint8Array(this.hits.length);
    const picked = new Uint16Array(this.names.length);
    const truth = new Uint8Array(this.tables.length);
    const tests = this.hits.map((hit) => this.testOf(hit));
    const fits = this.tables.findIndex((table) => table.condition === this.followUp.fits);
    for (let row = 0; row < this.size; row++) {
      this.tables.forEach((table, t) => {
        truth[t] = lookUp(table, picked);
      });
      tests.forEach((test, i) => {
        alive[i] = Number(
          test.tables.every((t) => truth[t] === 1) &&
            test.yes.every((name) => picked[name] === 0) &&
            (!test.where || test.where.meets[picked[test.where.name] as number] === true),
        );
      });
      visit(row, fits < 0 || truth[fits] === 1, alive);
      this.next(picked);
    }
  }

  /** The last name turns fastest. */
  private next(picked: Uint16Array): void {
    for (let i = picked.length - 1; i >= 0; i--) {
      picked[i] = ((picked[i] as number) + 1) % (this.choices[i] as readonly Value[]).length;
      if (picked[i] !== 0) return;
    }
  }

  /** What has to be so for a hit to be alive, by place in tables and names. */
  private testOf(hit: Hit): Test {
    const conditions = conditionsOf(hit);
    const tables = this.tables.flatMap((table, t) => (conditions.includes(table.condition) ? [t] : []));
    const yes = (hit.line?.flags ?? []).map((flag) => this.names.indexOf(flag));
    if (!hit.where) return { tables, yes };
    const name = this.names.indexOf(hit.where.variable);
    const at = hit.call.match?.at;
    return {
      tables,
      yes,
      where: {
        name,
        meets: (this.choices[name] as readonly Value[]).map((position) => at?.includes(String(position)) ?? true),
      },
    };
  }

  /** Variables along whose axis two outcomes meet that differ so. */
  turningOn(outcomes: Uint8Array, differ: (a: number, b: number) => boolean): string[] {
    let stride = this.size;
    return this.names.filter((_, i) => {
      const length = (this.choices[i] as readonly Value[]).length;
      stride /= length;
      for (let row = 0; row < this.size; row++) {
        if (Math.floor(row / stride) % length > 0 && differ(outcomes[row]!, outcomes[row - stride]!)) return true;
      }
      return false;
    });
  }
}

interface Test {
  readonly tables: readonly number[];
  /** Names of flags, whose first choice is "yes". */
  readonly yes: readonly number[];
  readonly where?: { readonly name: number; readonly meets: readonly boolean[] };
}

/** A condition's table with, for each of its variables, what each choice adds to the row. */
interface Table {
  readonly condition: Condition;
  readonly axes: readonly { readonly name: number; readonly adds: readonly number[] }[];
}

function tableOver(condition: Condition, names: readonly string[], choices: readonly (readonly Value[])[]): Table {
  let stride = condition.table.length;
  const axes = condition.cells.map((cells, i) => {
    stride /= cells.samples.length;
    const name = names.indexOf(condition.variables[i] as string);
    return { name, adds: (choices[name] as readonly Value[]).map((value) => cells.of(value) * stride) };
  });
  return { condition, axes };
}

function lookUp({ condition, axes }: Table, picked: Uint16Array): number {
  let row = 0;
  for (const { name, adds } of axes) row += adds[picked[name] as number] as number;
  return condition.table[row] as number;
}
