import { ALWAYS, type Condition, compileCondition } from './condition.ts';
import type { Domain } from './domain.ts';
import { type Fault, pointer } from './fault.ts';
import type { Applies, FollowUp, Implied, Need, Part, StepWork, Trigger, Way } from './rulebook.ts';
import type { FollowUpFile, Scope } from './schema.ts';
import type { PartRow, SetupsFile } from './tables.ts';

type Conditional = { if?: unknown; scope?: Scope | undefined };
type Guard = { state: string; setup: Readonly<Record<string, string>> };

/** Turns checked files into tables. Faults of conditions are collected; the rest of the file still compiles. */
export class Compiler {
  /** Equal conditions are one object, so that a job settles each only once. */
  private readonly interned = new Map<string, Condition>();

  constructor(
    private readonly domains: ReadonlyMap<string, Domain>,
    private readonly setups: SetupsFile,
    private readonly guards: readonly Guard[],
    private readonly faults: Fault[],
  ) {}

  followUp(id: string, file: string, text: FollowUpFile): FollowUp {
    const leaves = (text.leaves ?? [{ state: id }]).map((l, i) => ({
      ...keep(l, 'later'),
      state: l.state,
      applies: this.applies(l, file, pointer('leaves', i)),
    }));
    const left = new Set(leaves.map((l) => l.state));
    return {
      id,
      file,
      text,
      system: file.split('/').at(-2) ?? '',
      title: text.title,
      safety: text.safety,
      phase: text.phase,
      fits: this.condition(text.fits, file, '/fits'),
      triggers: [...this.triggers(text, file), ...doneBy(text)],
      needs: (text.needs ?? []).map((n, i) => this.need(n, file, pointer('needs', i))),
      leaves,
      upsets: (text.upsets ?? []).map((u, i) => ({
        state: u.state,
        ...keep(u, 'because'),
        applies: this.applies(u, file, pointer('upsets', i)),
      })),
      does: this.does(text.does, file, ''),
      after: (text.after ?? []).map((a, i) => ({ ...a, applies: this.applies(a, file, pointer('after', i)) })),
      covers: (text.covers ?? []).map((c, i) =>
        typeof c === 'string'
          ? { step: c, applies: [] }
          : { step: c.step, applies: this.applies(c, file, pointer('covers', i)) },
      ),
      ways: text.ways.map((w, i) => this.way(text, w, file, pointer('ways', i), left)),
      repeatable: text.repeatable ?? false,
      stands: text.stands ?? null,
      positions: typeof text.per === 'object' ? text.per.position : [],
    };
  }

  part(id: string, file: string, text: PartRow): Part {
    const implies = (text.implies ?? []).map(
      (row, i): Implied => ({
        when: row.when,
        part: row.part,
        did: row.did,
        ...keep(row, 'at'),
        applies: this.applies(row, file, pointer(id, 'implies', i)),
        maybe: row.maybe ?? false,
        because: row.because,
        sources: row.sources ?? [],
      }),
    );
    return { id, text, implies };
  }

  applies(text: Conditional, file: string, at: string): Applies {
    const own = this.condition(text.if, file, `${at}/if`);
    const scoped = text.scope ? this.condition(scopeCondition(text.scope), file, `${at}/scope`) : ALWAYS;
    return [own, scoped].filter((c) => c !== ALWAYS);
  }

  private condition(text: unknown, file: string, at: string): Condition {
    const key = JSON.stringify(text) ?? 'true';
    const known = this.interned.get(key);
    if (known) return known;
    const made = compileCondition(text, this.domains, file, at, this.faults);
    if (made) this.interned.set(key, made);
    return made ?? ALWAYS;
  }

  private triggers(text: FollowUpFile, file: string): Trigger[] {
    return (text.triggers ?? []).map((t, index) => ({
      index,
      work: t.work ?? [],
      codes: t.codes ?? [],
      applies: this.applies(t, file, pointer('triggers', index)),
      ...keep(t, 'scope'),
      rank: scopeRank(t.scope),
      level: t.level,
      because: t.because,
      sources: t.sources ?? [],
    }));
  }

  private need(text: NonNullable<FollowUpFile['needs']>[number], file: string, at: string): Need {
    return {
      state: text.state,
      ...keep(text, 'within', 'because'),
      applies: this.applies(text, file, at),
      sources: text.sources ?? [],
    };
  }

  private does(list: FollowUpFile['does'], file: string, at: string): StepWork[] {
    return (list ?? []).map((d, i) => ({
      part: d.part,
      did: d.did,
      ...keep(d, 'at'),
      applies: this.applies(d, file, `${at}${pointer('does', i)}`),
    }));
  }

  private way(
    text: FollowUpFile,
    way: FollowUpFile['ways'][number],
    file: string,
    at: string,
    left: ReadonlySet<string>,
  ): Way {
    const setup = { ...(way.drive ? this.setups.drive.setup : {}), ...way.setup };
    const guards =
      text.phase === 'before' ? [] : this.guards.filter((g) => !left.has(g.state) && within(g.setup, setup));
    return {
      id: way.id,
      text: way,
      applies: this.applies(way, file, at),
      tool: way.tool ?? 'none',
      setup,
      becomes: { ...(way.drive ? this.setups.drive.becomes : {}), ...way.becomes },
      needs: [
        ...(way.needs ?? []).map((n, i) => this.need(n, file, at + pointer('needs', i))),
        ...guards.map((g): Need => ({ state: g.state, applies: [], sources: [], guard: true })),
      ],
      upsets: (way.upsets ?? []).map((u, i) => ({
        state: u.state,
        ...keep(u, 'because'),
        applies: this.applies(u, file, at + pointer('upsets', i)),
      })),
      does: this.does(way.does, file, at),
      finish: way.finish ?? text.finish ?? 'shop',
    };
  }
}

/** Years alone is general: it ranks 0 but still has to hold. */
export function scopeRank(scope: Scope | undefined): number {
  if (!scope) return 0;
  const years = scope.years ? 1 : 0;
  if (scope.models) return 3 + years;
  return scope.makers ? 1 + years : 0;
}

function scopeCondition(scope: Scope): unknown {
  const parts: unknown[] = [];
  if (scope.makers) parts.push({ in: [{ var: 'maker' }, scope.makers] });
  if (scope.models) parts.push({ in: [{ var: 'model' }, scope.models] });
  if (scope.years) {
    parts.push({ '>=': [{ var: 'model-year' }, scope.years[0]] }, { '<=': [{ var: 'model-year' }, scope.years[1]] });
  }
  return { and: parts };
}

/** Above every scope: the repair order's own line is the step, whatever a maker says of other triggers. */
const OWN_LINE_RANK = 9;

/** A work line that is this step: it stays on the list, so that its proof is asked. */
function doneBy(text: FollowUpFile): Trigger[] {
  const work = text['done-by'] ?? [];
  if (work.length === 0) return [];
  return [
    {
      index: -1,
      work,
      codes: [],
      applies: [],
      rank: OWN_LINE_RANK,
      level: 'required',
      because: 'it is on the repair order as a line of its own',
      sources: [],
    },
  ];
}

function within(part: Readonly<Record<string, string>>, whole: Readonly<Record<string, string>>): boolean {
  return Object.entries(part).every(([dimension, value]) => whole[dimension] === value);
}

/** The named fields that are present: exactOptionalPropertyTypes wants absent, not undefined. */
function keep<T extends object, K extends keyof T>(from: T, ...keys: K[]): { [P in K]?: Exclude<T[P], undefined> } {
  const kept: { [P in K]?: Exclude<T[P], undefined> } = {};
  for (const key of keys) if (from[key] !== undefined) kept[key] = from[key] as Exclude<T[K], undefined>;
  return kept;
}
