import { pointer } from '../fault.ts';
import type { FollowUp, Rulebook, State } from '../rulebook.ts';
import { all, any, describeCar, type Formula, findCar, not } from './car.ts';
import type { Lint } from './lint.ts';
import { called, leavesOf, needsOf, upsetsOf } from './relations.ts';

/** Every follow-up can come onto a list, and be done on each car where it does. */

export const wayForEveryCar: Lint = {
  id: 'way-for-every-car',
  scope: 'order',
  says: 'every car that a follow-up fits has a way to do it',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, domains }) {
    for (const f of followUps.values()) {
      const car = findCar(all(f.fits, not(any(f.ways.map((w) => all(w.applies))))), domains);
      if (car)
        yield {
          file: f.file,
          pointer: '/ways',
          message: 'no way to do it',
          hint: `${describeCar(car)}; narrow "fits" or add a way`,
        };
    }
  },
};

export const positionsExist: Lint = {
  id: 'positions-exist',
  scope: 'order',
  says: 'a follow-up done once a position lists positions that the parts it is called for can have',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, parts }) {
    for (const f of followUps.values()) {
      const named = [...new Set(f.triggers.flatMap((t) => t.work.map((w) => w.part)))];
      const possible = new Set(named.flatMap((part) => parts.get(part)?.text.at ?? []));
      if (named.length === 0) continue;
      for (const [i, position] of f.positions.entries()) {
        if (possible.has(position)) continue;
        const hint =
          possible.size > 0
            ? `they can be at ${[...possible].join(', ')}`
            : 'none of them has positions; leave "per" out';
        yield {
          file: f.file,
          pointer: pointer('per', 'position', i),
          message: 'none of its parts can be there',
          value: position,
          hint,
        };
      }
    }
  },
};

export const canAppear: Lint = {
  id: 'can-appear',
  scope: 'order',
  says: 'some job puts every follow-up on its list, by a trigger or through a state',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    const appearing = whoAppears(rulebook);
    for (const f of rulebook.followUps.values()) {
      if (appearing.has(f.id)) continue;
      yield {
        file: f.file,
        pointer: '',
        message: 'can never come onto a list',
        hint: 'nothing calls for it, and nobody upsets or lacks what it leaves',
      };
    }
  },
};

/** Grows from those that work or codes call for, through the states that their steps upset, lack or leave. */
function whoAppears(rulebook: Rulebook): Set<string> {
  const { domains } = rulebook;
  const followUps = [...rulebook.followUps.values()];
  const appearing = new Set(followUps.filter((f) => findCar(all(f.fits, called(f)), domains)).map((f) => f.id));
  for (let grown = -1; grown !== appearing.size; ) {
    grown = appearing.size;
    for (const f of followUps) {
      if (appearing.has(f.id)) continue;
      const pulling = pulls(f, rulebook).filter((p) => appearing.has(p.by.id));
      if (pulling.some((p) => findCar(all(f.fits, p.when), domains))) appearing.add(f.id);
    }
  }
  return appearing;
}

/** Who may pull a follow-up, through which state, and on which cars; `asked` where somebody must first say "it does not hold". */
export interface PulledBy {
  readonly by: FollowUp;
  readonly state: State;
  readonly how: 'upset' | 'undo' | 'absent' | 'asked';
  readonly when: Formula;
}

export function pulls(f: FollowUp, rulebook: Rulebook): PulledBy[] {
  const left = leavesOf(f).flatMap((leave) => {
    const state = rulebook.states.get(leave.state) as State;
    const upset =
      state.delivery !== 'must'
        ? []
        : others(state.upsetters, f).flatMap((by) => ties(by, state, 'upset', upsetsOf(by), leave.when));
    const how = state.start === 'absent' ? 'absent' : 'asked';
    const lacked =
      state.start === 'holds'
        ? []
        : others([...rulebook.followUps.values()], f).flatMap((by) => ties(by, state, how, needsOf(by), leave.when));
    return [...upset, ...lacked];
  });
  const undone = upsetsOf(f).flatMap((upset) => {
    const state = rulebook.states.get(upset.state) as State;
    return state.delivery === 'must-not'
      ? others(state.leavers, f).flatMap((by) => ties(by, state, 'undo', leavesOf(by), upset.when))
      : [];
  });
  return [...left, ...undone];
}

function others(list: readonly FollowUp[], f: FollowUp): FollowUp[] {
  return list.filter((other) => other !== f);
}

function ties(
  by: FollowUp,
  state: State,
  how: PulledBy['how'],
  list: readonly { state: string; when: Formula }[],
  more: Formula,
): PulledBy[] {
  return list
    .filter((tie) => tie.state === state.id)
    .map((tie) => ({ by, state, how, when: all(by.fits, tie.when, more) }));
}
