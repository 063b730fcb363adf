import { type Fault, pointer } from '../fault.ts';
import type { FollowUp, Rulebook, State } from '../rulebook.ts';
import { all, any, describeCar, type Formula, findCar, not } from './car.ts';
import type { Lint } from './lint.ts';
import { rowsOf } from './names.ts';
import { calledBy, leavesOf, needsOf, type StateTie, upsetsOf, worksOf } from './relations.ts';

/** States are left, needed and upset so that every need can be met on the cars that have it. */

export const leftBySomebody: Lint = {
  id: 'left-by-somebody',
  scope: 'states',
  says: 'every state that is needed or guards a set-up is left by a follow-up, unless its row says that it is asked',
  severity: 'fault',
  exceptions: [],
  *check(rulebook, files) {
    const rows = new Set(rowsOf(files, 'states.json'));
    for (const state of rulebook.states.values()) {
      if (state.leavers.length > 0 || !rows.has(state.id) || (state.start === 'confirm' && state.guards.length === 0))
        continue;
      const hint = 'list it under "leaves" of the follow-up that brings it about, or give its row "start": "confirm"';
      const message = `nobody leaves state \`${state.id}\``;
      if (state.guards.length > 0)
        yield { file: 'states.json', pointer: pointer(state.id), message: `${message}, which guards a set-up`, hint };
      for (const { file, tie } of needersOf(state, rulebook))
        if (!tie.guard) yield { file, pointer: tie.pointer, message: `${message}, which is needed here`, hint };
    }
  },
};

export const needCanBeMet: Lint = {
  id: 'need-can-be-met',
  scope: 'states',
  says: 'for every need there is a car that has both the needer and somebody who leaves the state',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const state of rulebook.states.values()) {
      if (state.leavers.length === 0) continue;
      for (const { file, step, tie } of needersOf(state, rulebook)) {
        if (tie.guard) continue;
        const here = all(step.fits, tie.when);
        if (!findCar(here, rulebook.domains)) continue;
        if (findCar(all(here, existence(state)), rulebook.domains)) continue;
        const hint = `left by ${state.leavers.map((l) => `\`${l.id}\``).join(', ')}, which never fit together with this`;
        yield { file, pointer: tie.pointer, message: `no car can have \`${state.id}\` where it is needed here`, hint };
      }
    }
  },
};

export const oneLeaver: Lint = {
  id: 'one-leaver',
  scope: 'states',
  says: 'no car has two follow-ups of one phase that leave one state: nobody could say which to pull',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const state of rulebook.states.values()) {
      for (const [i, one] of state.leavers.entries()) {
        for (const two of state.leavers.slice(i + 1).filter((l) => l.phase === one.phase)) {
          const car = findCar(all(leaving(one, state), leaving(two, state)), rulebook.domains);
          if (!car) continue;
          const hint = `${describeCar(car)} both fit; let their "fits" exclude each other, or make them ways of one follow-up`;
          const at = leavesOf(two).find((l) => l.state === state.id)?.pointer ?? '';
          yield {
            file: two.file,
            pointer: at,
            message: `\`${one.id}\` leaves \`${state.id}\` too, in the same phase`,
            hint,
          };
        }
      }
    }
  },
};

export const needsOrUpsets: Lint = {
  id: 'needs-or-upsets',
  scope: 'states',
  says: 'no step both needs and upsets one state, unless whoever leaves it is repeatable',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const f of rulebook.followUps.values()) {
      for (const need of needsOf(f)) {
        const state = rulebook.states.get(need.state) as State;
        // A state that must not stay is undone by its needer's own work as a matter of course.
        if (state.delivery !== 'must') continue;
        for (const upset of upsetsOf(f).filter((u) => u.state === need.state && sameWay(u, need))) {
          const once = state.leavers.filter((l) => !l.repeatable && l !== f).map((l) => leaving(l, state));
          const car = findCar(all(f.fits, need.when, upset.when, any(once)), rulebook.domains);
          if (car)
            yield {
              file: f.file,
              pointer: upset.pointer,
              message: `needs \`${state.id}\` and upsets it`,
              hint: `${describeCar(car)}; mark its leaver repeatable, or say which comes first`,
            };
        }
      }
    }
  },
};

export const preparationIsNeed: Lint = {
  id: 'preparation-is-a-need',
  scope: 'states',
  says: 'no trigger is set off by work of a step that needs what the follow-up leaves',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const step of rulebook.followUps.values()) {
      for (const work of worksOf(step)) {
        for (const call of calledBy(step, work, rulebook)) {
          const fault = preparation(step, call, rulebook);
          if (fault) yield fault;
        }
      }
    }
  },
};

export const upsetsReachFar: Lint = {
  id: 'upset-within-scope',
  scope: 'states',
  says: "what is upset does not pull, on every car, a follow-up that is only called for on some makers' cars",
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const f of rulebook.followUps.values()) {
      for (const upset of upsetsOf(f)) {
        const state = rulebook.states.get(upset.state) as State;
        if (state.delivery !== 'must') continue;
        for (const leaver of state.leavers) {
          const car = leaver === f ? undefined : beyondScope(f, upset, leaver, state, rulebook);
          if (!car) continue;
          const hint = `${describeCar(car)} it would be on the list, though every trigger of it has a scope`;
          yield {
            file: f.file,
            pointer: upset.pointer,
            message: `upsetting \`${state.id}\` pulls \`${leaver.id}\` on any maker's car`,
            hint,
          };
        }
      }
    }
  },
};

function preparation(
  step: FollowUp,
  { followUp, trigger, when }: ReturnType<typeof calledBy>[number],
  rulebook: Rulebook,
): Fault | undefined {
  if (followUp.repeatable) return undefined;
  for (const need of needsOf(step)) {
    const left = leavesOf(followUp).find((l) => l.state === need.state);
    if (!left || rulebook.states.get(need.state)?.delivery !== 'must') continue;
    const car = findCar(all(step.fits, need.when, when, left.when), rulebook.domains);
    if (!car) continue;
    const hint = `${describeCar(car)}; a preparation is a need, never a trigger`;
    return {
      file: followUp.file,
      pointer: pointer('triggers', trigger.index),
      message: `set off by work of \`${step.id}\`, which needs \`${need.state}\` first`,
      hint,
    };
  }
  return undefined;
}

function beyondScope(f: FollowUp, upset: StateTie, leaver: FollowUp, state: State, { domains }: Rulebook) {
  const calling = leaver.triggers.filter((t) => t.level !== 'not-needed');
  if (calling.length === 0 || calling.some((t) => t.rank === 0)) return undefined;
  return findCar(
    all(f.fits, upset.when, leaving(leaver, state), not(any(calling.map((t) => all(t.applies))))),
    domains,
  );
}

function* needersOf(state: State, rulebook: Rulebook): Iterable<{ file: string; step: FollowUp; tie: StateTie }> {
  for (const step of rulebook.followUps.values()) {
    for (const tie of needsOf(step)) if (tie.state === state.id) yield { file: step.file, step, tie };
  }
}

/** The follow-up fits and leaves the state. */
export function leaving(f: FollowUp, state: State): Formula {
  return all(
    f.fits,
    any(
      leavesOf(f)
        .filter((l) => l.state === state.id)
        .map((l) => l.when),
    ),
  );
}

/** The car has the state at all; one that no file leaves exists everywhere. */
export function existence(state: State): Formula {
  return state.leavers.length === 0 ? all() : any(state.leavers.map((l) => leaving(l, state)));
}

function sameWay(a: StateTie, b: StateTie): boolean {
  return a.way === undefined || b.way === undefined || a.way === b.way;
}
