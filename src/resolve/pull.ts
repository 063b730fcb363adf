import { EITHER, NEVER, type Range, SURELY } from '../rulebook/condition.ts';
import type { FollowUp, Rulebook, State } from '../rulebook/rulebook.ts';
import { PHASES } from '../rulebook/schema.ts';
import type { Entry, Pull } from './entry.ts';
import type { Facts } from './facts.ts';
import { both, type Known } from './known.ts';
import type { Kind, Pulled } from './result.ts';
import { needsOf, type PlannedWays, waySure } from './ways.ts';

interface Ask {
  readonly state: State;
  readonly how: Pulled;
  readonly sure: Range;
  readonly because?: string;
  readonly decides: readonly string[];
}

interface Target {
  readonly target: FollowUp;
  readonly sure: Range;
  readonly decides: readonly string[];
  /** Where it differs from what was asked. */
  readonly how?: Pulled;
}

/** Finds what a step on the list pulls: who must make, restore or undo a state for it. */
export class Pulls {
  constructor(
    private readonly facts: Facts,
    private readonly rulebook: Rulebook,
    private readonly known: Known,
    /** Verdicts from the work alone: a leaver that the work calls for anyway is preferred. */
    private readonly calledFor: ReadonlyMap<string, Kind>,
  ) {}

  of(entry: Entry, ways: PlannedWays): { target: FollowUp; pull: Pull }[] {
    const puller = entry.followUp;
    if (this.settledBefore(puller)) return [];
    return this.asks(puller, ways).flatMap((ask) =>
      this.targets(ask, puller).map(({ target, sure, decides, how }) => ({
        target,
        pull: {
          by: puller,
          state: ask.state,
          how: how ?? ask.how,
          sure: entry.kind === 'needed' && ask.sure === SURELY && sure === SURELY,
          required: entry.required,
          ...(ask.because ? { because: ask.because } : {}),
          decides: [...ask.decides, ...decides],
        },
      })),
    );
  }

  /** A before-step that was done, or was missed, once the work is done: it asks nothing of the car any more. */
  private settledBefore(step: FollowUp): boolean {
    return this.over(step) && step.phase === 'before' && this.facts.answers.get(`done:${step.id}`) !== undefined && !this.leavesMustNot(step);
  }

  private leavesMustNot(step: FollowUp): boolean {
    return step.leaves.some((l) => this.state(l.state).delivery === 'must-not') && this.facts.answers.get(`done:${step.id}`) !== 'no';
  }

  private asks(puller: FollowUp, ways: PlannedWays): Ask[] {
    const asks: Ask[] = [];
    const push = (how: Pulled, id: string, sure: Range, because: string | undefined, decides: readonly string[]) => {
      if (sure !== NEVER) asks.push({ how, state: this.state(id), sure, decides, ...(because ? { because } : {}) });
    };
    for (const { upset, sure } of this.upsets(puller, ways)) {
      if (this.state(upset.state).delivery === 'must') push('upset', upset.state, both(sure, this.known.all(upset.applies)), upset.because, this.known.open(upset.applies));
    }
    for (const leave of puller.leaves) {
      if (this.state(leave.state).delivery === 'must-not') push('undo', leave.state, this.known.all(leave.applies), undefined, this.known.open(leave.applies));
    }
    for (const { need, way } of needsOf(puller, ways)) {
      const missing = this.missing(this.state(need.state), puller);
      if (!missing) continue;
      const sure = both(missing.sure, both(this.known.all(need.applies), !way || waySure(ways, way) ? SURELY : EITHER));
      push(missing.how, need.state, sure, need.because, [...missing.decides, ...this.known.open(need.applies), ...(way ? ways.decides : [])]);
    }
    return asks;
  }

  private upsets(puller: FollowUp, ways: PlannedWays) {
    return [
      ...puller.upsets.map((upset) => ({ upset, sure: SURELY as Range })),
      ...ways.open.flatMap((way) => way.upsets.map((upset) => ({ upset, sure: (waySure(ways, way) ? SURELY : EITHER) as Range }))),
    ];
  }

  /** Whether a state has to be made for its needer: it starts absent, or somebody said that it does not hold. */
  private missing(state: State, needer: FollowUp): { how: Pulled; sure: Range; decides: readonly string[] } | undefined {
    if (state.start === 'absent') return { how: 'absent', sure: SURELY, decides: [] };
    if (state.start !== 'confirm') return undefined;
    const answer = this.facts.answers.get(`holds:${state.id}`);
    if (answer === 'no') return { how: 'answered-no', sure: SURELY, decides: [] };
    if (answer !== null || !this.facts.answers.has(`holds:${state.id}`)) return undefined;
    // "Can't tell" where someone can be hurt: do it anyway.
    return { how: 'answered-no', sure: needer.safety ? SURELY : EITHER, decides: [`holds:${state.id}`] };
  }

  private targets(ask: Ask, puller: FollowUp): Target[] {
    const { state } = ask;
    if (ask.how === 'undo') {
      return state.upsetters.filter((u) => u !== puller && this.known.fits(u) !== NEVER).map((target) => ({ target, sure: SURELY, decides: this.known.open([target.fits]) }));
    }
    const leavers = state.leavers.filter((l) => l !== puller && this.known.leaves(l, state.id) !== NEVER);
    return ask.how === 'absent' ? this.makers(leavers, state) : this.pick(leavers.filter((l) => !this.over(l)), state);
  }

  /**
   * Who makes an absent state. A leaver of a phase that is over was done (nothing is missing), was missed (a later
   * phase repairs it) or is still asked about (then the repair is undecided).
   */
  private makers(leavers: readonly FollowUp[], state: State): Target[] {
    const over = leavers.filter((l) => this.over(l));
    const left = leavers.filter((l) => !this.over(l));
    const relevant = over.filter((l) => (this.calledFor.get(l.id) ?? 'excluded') !== 'excluded' || left.length === 0);
    if (relevant.length === 0) return this.pick(left, state);
    if (relevant.some((l) => this.facts.answers.get(`done:${l.id}`) === 'yes')) return [];
    const asked = relevant.filter((l) => this.facts.answers.get(`done:${l.id}`) !== 'no');
    const shown = relevant.map((target) => ({ target, sure: this.known.leaves(target, state.id), decides: [] as string[] }));
    if (asked.length === 0) return [...shown, ...this.pick(left, state).map((t): Target => ({ ...t, how: 'missed' }))];
    const questions = asked.map((l) => `done:${l.id}`);
    return [...shown, ...this.pick(left, state).map((t) => ({ ...t, sure: both(t.sure, EITHER), decides: [...t.decides, ...questions] }))];
  }

  /** Those the work calls for, else those of the earliest phase. */
  private pick(leavers: readonly FollowUp[], state: State): Target[] {
    const called = leavers.filter((l) => this.calledFor.get(l.id) === 'needed' && this.known.leaves(l, state.id) === SURELY);
    if (called.length > 0) return called.map((target) => ({ target, sure: SURELY, decides: [] }));
    const perhaps = leavers.filter((l) => this.calledFor.get(l.id) === 'undecided');
    const earliest = Math.min(...leavers.map((l) => PHASES.indexOf(l.phase)));
    const first = leavers.filter((l) => PHASES.indexOf(l.phase) === earliest);
    return [...new Set([...perhaps, ...first])].map((target) => {
      const leave = target.leaves.find((l) => l.state === state.id);
      const decides = this.known.open([target.fits, ...(leave?.applies ?? [])]);
      // Beside a leaver that the work may call for, the earliest one is needed only perhaps.
      const rival = perhaps.some((p) => p !== target);
      return { target, sure: rival ? both(this.known.leaves(target, state.id), EITHER) : this.known.leaves(target, state.id), decides };
    });
  }

  private over(step: FollowUp): boolean {
    return this.facts.workDone && step.phase !== 'after';
  }

  private state(id: string): State {
    return this.rulebook.states.get(id) as State;
  }
}
