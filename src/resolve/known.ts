import { type Condition, EITHER, NEVER, type Range, range, SURELY } from '../rulebook/condition.ts';
import { cut, type Domain, type Value } from '../rulebook/domain.ts';
import type { Applies, FollowUp, State } from '../rulebook/rulebook.ts';
import type { KnownTrait } from './facts.ts';

/** A car that differs in one answer only: a trait, a fact of the car, or a question of the job. */
export interface Near {
  readonly known: Known;
  readonly changed: string;
}

/** What is known of one car; settles each condition of the rulebook at most once. */
export class Known {
  private readonly settled = new Map<Condition, Range>();
  private readonly existing = new Map<State, Range>();

  constructor(
    readonly car: ReadonlyMap<string, KnownTrait>,
    private readonly domains: ReadonlyMap<string, Domain>,
    /** The same car but for one answer: what does not name that is settled there already. */
    private readonly near?: Near,
  ) {}

  /** Values still possible; undefined = all of its domain. */
  readonly possible = (variable: string): readonly Value[] | undefined => this.car.get(variable)?.values;

  range(condition: Condition): Range {
    const known = this.settled.get(condition);
    if (known !== undefined) return known;
    const answer =
      this.near && !condition.variables.includes(this.near.changed)
        ? this.near.known.range(condition)
        : range(condition, this.possible);
    this.settled.set(condition, answer);
    return answer;
  }

  /** Of all together (Kleene): sound, and complete unless two of them share an unknown. */
  all(applies: Applies): Range {
    if (applies.length === 0) return SURELY;
    let answer: Range = SURELY;
    for (const condition of applies) {
      const one = this.range(condition);
      if (one === NEVER) return NEVER;
      if (one === EITHER) answer = EITHER;
    }
    return answer;
  }

  fits(followUp: FollowUp): Range {
    return this.range(followUp.fits);
  }

  /** Where no follow-up that leaves a state fits the car, the state does not exist there; one that no file leaves exists everywhere. */
  exists(state: State): Range {
    const had = this.existing.get(state);
    if (had !== undefined) return had;
    const answer = state.leavers.length === 0 ? SURELY : either(state.leavers.map((l) => this.leaves(l, state.id)));
    this.existing.set(state, answer);
    return answer;
  }

  leaves(followUp: FollowUp, state: string): Range {
    return both(
      this.fits(followUp),
      either(followUp.leaves.filter((l) => l.state === state).map((l) => this.all(l.applies))),
    );
  }

  /** Whether a follow-up ends a state, by itself or by one of its ways. */
  upsets(followUp: FollowUp, state: string): Range {
    const own = followUp.upsets.filter((u) => u.state === state).map((u) => this.all(u.applies));
    const byWay = followUp.ways.flatMap((way) =>
      way.upsets.filter((u) => u.state === state).map((u) => this.all([...way.applies, ...u.applies])),
    );
    return both(this.fits(followUp), either([...own, ...byWay]));
  }

  /** Values to try for an unknown that meets these conditions: one for each cell that any of them can tell apart. */
  choices(variable: string, conditions: readonly Condition[]): readonly Value[] {
    return this.possible(variable) ?? this.cellsOf(variable, conditions);
  }

  /** The same over the whole domain, whatever is known. */
  cellsOf(variable: string, conditions: readonly Condition[]): readonly Value[] {
    const domain = this.domains.get(variable) as Domain;
    if (domain.kind === 'values') return domain.values;
    return cut(
      domain,
      conditions.flatMap((c) => c.constants[c.variables.indexOf(variable)] ?? []),
    ).samples;
  }

  /** Variables of these conditions that are not settled to one value. */
  open(applies: Applies): string[] {
    const names = applies.filter((c) => this.range(c) === EITHER).flatMap((c) => c.variables);
    return [...new Set(names)].filter((v) => this.possible(v)?.length !== 1);
  }
}

export function both(a: Range, b: Range): Range {
  if (a === NEVER || b === NEVER) return NEVER;
  return a === SURELY && b === SURELY ? SURELY : EITHER;
}

export function either(ranges: readonly Range[]): Range {
  if (ranges.includes(SURELY)) return SURELY;
  return ranges.includes(EITHER) ? EITHER : NEVER;
}
