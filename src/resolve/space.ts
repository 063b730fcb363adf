import { type Condition, EITHER } from '../rulebook/condition.ts';
import type { Value } from '../rulebook/domain.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Known } from './known.ts';
import type { Hit } from './work.ts';

/** Everything still unknown that this follow-up's verdict can rest on, as one enumerable space. */
export class Space {
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

export function conditionsOf(hit: Hit): readonly Condition[] {
  return hit.line && hit.line.guard.length > 0
    ? [...hit.call.trigger.applies, ...hit.line.guard]
    : hit.call.trigger.applies;
}
