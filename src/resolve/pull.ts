import { EITHER, NEVER, type Range, SURELY } from '../rulebook/condition.ts';
import type { FollowUp, Rulebook, State } from '../rulebook/rulebook.ts';
import { PHASES } from '../rulebook/schema.ts';
import type { Entry, Pull } from './entry.ts';
import type { Facts } from './facts.ts';
import { both, type Known } from './known.ts';
import type { Kind, Pulled } from './result.ts';
import { type PlannedWays, waySure } from './ways.ts';

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

/** Beyond so many open facts about leavers of one state, each is pulled only perhaps. */
const MOST_OPEN = 12;

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
    return (
      this.over(step) &&
      step.phase === 'before' &&
      this.facts.answers.get(`done:${step.id}`) !== undefined &&
      !this.leavesMustNot(step)
    );
  }

  private leavesMustNot(step: FollowUp): boolean {
    return (
      step.leaves.some((l) => this.state(l.state).delivery === 'must-not') &&
      this.facts.answers.get(`done:${step.id}`) !== 'no'
    );
  }

  private asks(puller: FollowUp, ways: PlannedWays): Ask[] {
    const asks: Ask[] = [];
    const push = (how: Pulled, id: string, sure: Range, because: string | undefined, decides: readonly string[]) => {
      if (sure !== NEVER) asks.push({ how, state: this.state(id), sure, decides, ...(because ? { because } : {}) });
    };
    for (const { upset, sure } of this.upsets(puller, ways)) {
      if (this.state(upset.state).delivery === 'must')
        push(
          'upset',
          upset.state,
          both(sure, this.known.all(upset.applies)),
          upset.because,
          this.known.open(upset.applies),
        );
    }
    for (const leave of puller.leaves) {
      if (this.state(leave.state).delivery === 'must-not')
        push('undo', leave.state, this.known.all(leave.applies), undefined, this.known.open(leave.applies));
    }
    for (const { need, way } of ways.needs) {
      const missing = this.missing(this.state(need.state), puller);
      if (!missing) continue;
      const sure = both(missing.sure, both(this.known.all(need.applies), !way || waySure(ways, way) ? SURELY : EITHER));
      push(missing.how, need.state, sure, need.because, [
        ...missing.decides,
        ...this.known.open(need.applies),
        ...(way ? ways.decides : []),
      ]);
    }
    return asks;
  }

  private upsets(puller: FollowUp, ways: PlannedWays) {
    return [
      ...puller.upsets.map((upset) => ({ upset, sure: SURELY as Range })),
      ...ways.open.flatMap((way) =>
        way.upsets.map((upset) => ({ upset, sure: (waySure(ways, way) ? SURELY : EITHER) as Range })),
      ),
    ];
  }

  /** Whether a state has to be made for its needer: it starts absent, or somebody said that it does not hold. */
  private missing(
    state: State,
    needer: FollowUp,
  ): { how: Pulled; sure: Range; decides: readonly string[] } | undefined {
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
      const upsetters = state.upsetters.map((target) => ({
        target,
        sure: this.known.upsets(target, state.id),
        decides: this.upsetBy(target, state),
      }));
      return upsetters.filter(({ target, sure }) => target !== puller && sure !== NEVER);
    }
    return this.onEveryCar(
      ask,
      state.leavers.filter((l) => l !== puller && this.known.leaves(l, state.id) !== NEVER),
    );
  }

  private upsetBy(target: FollowUp, state: State): string[] {
    const upsets = [
      ...target.upsets,
      ...target.ways.flatMap((way) => way.upsets.map((u) => ({ ...u, applies: [...way.applies, ...u.applies] }))),
    ];
    return this.known.open([target.fits, ...upsets.filter((u) => u.state === state.id).flatMap((u) => u.applies)]);
  }

  /**
   * Who is picked turns on which leavers fit and which the work calls for. What is open of that is tried both ways:
   * picked each time = sure, picked at all = perhaps.
   */
  private onEveryCar(ask: Ask, leavers: readonly FollowUp[]): Target[] {
    const fits = leavers.filter((l) => this.known.leaves(l, ask.state.id) === EITHER);
    const calls = leavers.filter((l) => this.calledFor.get(l.id) === 'undecided');
    const open = fits.length + calls.length;
    if (open > MOST_OPEN)
      return leavers.map((target) => ({ target, sure: EITHER, decides: this.questionsOn(leavers, ask.state) }));
    const found = new Map<FollowUp, { times: number; target: Target }>();
    for (let row = 0; row < 1 << open; row++) {
      const says = (list: readonly FollowUp[], leaver: FollowUp, from: number) =>
        !list.includes(leaver) || (row & (1 << (from + list.indexOf(leaver)))) !== 0;
      const there = leavers.filter((l) => says(fits, l, 0));
      const called = there.filter(
        (l) => (this.calledFor.get(l.id) ?? 'excluded') !== 'excluded' && says(calls, l, fits.length),
      );
      for (const target of this.pick(ask, there, called)) {
        const had = found.get(target.target);
        found.set(target.target, {
          times: (had?.times ?? 0) + (target.sure === SURELY ? 1 : 0),
          target: had?.target ?? target,
        });
      }
    }
    return [...found.values()].map(({ times, target }) => {
      if (times === 1 << open) return { ...target, sure: SURELY };
      return { ...target, sure: EITHER, decides: [...target.decides, ...this.questionsOn(leavers, ask.state)] };
    });
  }

  private questionsOn(leavers: readonly FollowUp[], state: State): string[] {
    return leavers.flatMap((l) => {
      const leaves = l.leaves.filter((made) => made.state === state.id).flatMap((made) => made.applies);
      const called = this.calledFor.get(l.id) === 'undecided' ? [`step:${l.id}`] : [];
      return [...this.known.open([l.fits, ...leaves]), ...called];
    });
  }

  /**
   * Who makes a state where exactly these leave it and the work calls for exactly those. An absent state's leaver of a
   * phase that is over was done (nothing is missing), was missed (a later phase repairs it) or is still asked about
   * (then the repair is undecided).
   */
  private pick(ask: Ask, leavers: readonly FollowUp[], called: readonly FollowUp[]): Target[] {
    const left = leavers.filter((l) => !this.over(l));
    const sure = (target: FollowUp): Target => ({ target, sure: SURELY, decides: [] });
    const makers = first(left, called).map(sure);
    if (ask.how !== 'absent') return makers;
    const relevant = leavers.filter((l) => this.over(l) && (called.includes(l) || left.length === 0));
    if (relevant.length === 0) return makers;
    const done = relevant.filter((l) => this.facts.answers.get(`done:${l.id}`) === 'yes');
    if (done.length > 0) return done.map(sure);
    const asked = relevant.filter((l) => this.facts.answers.get(`done:${l.id}`) !== 'no');
    const repairs = makers.map(
      (maker): Target =>
        asked.length === 0
          ? { ...maker, how: 'missed' }
          : { ...maker, sure: EITHER, decides: asked.map((l) => `done:${l.id}`) },
    );
    return [...relevant.map(sure), ...repairs];
  }

  private over(step: FollowUp): boolean {
    return this.facts.workDone && step.phase !== 'after';
  }

  private state(id: string): State {
    return this.rulebook.states.get(id) as State;
  }
}

/** Those the work calls for, else those of the earliest phase. */
function first(leavers: readonly FollowUp[], called: readonly FollowUp[]): FollowUp[] {
  const wanted = leavers.filter((l) => called.includes(l));
  if (wanted.length > 0) return wanted;
  const earliest = Math.min(...leavers.map((l) => PHASES.indexOf(l.phase)));
  return leavers.filter((l) => PHASES.indexOf(l.phase) === earliest);
}
