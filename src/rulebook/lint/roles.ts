import type { FollowUp, Rulebook } from '../rulebook.ts';
import { all, type Formula } from './car.ts';
import { calledBy, leavesOf, needsOf, type Tie, upsetsOf, worksOf } from './relations.ts';
import { leaving } from './states.ts';

/** One step's part in a state. */
export interface Role extends Tie {
  readonly step: FollowUp;
  /** Where the tie is written, if not in the step's own file: it covers that follow-up. */
  readonly from: FollowUp;
}

export interface Roles {
  readonly leavers: Role[];
  readonly needers: Role[];
  readonly upsetters: Role[];
}

export const NO_ROLES: Roles = { leavers: [], needers: [], upsetters: [] };

/** Who leaves, needs and upsets each state. A step that covers another leaves and upsets what that one does, and needs its own only. */
export function rolesIn(rulebook: Rulebook): Map<string, Roles> {
  const found = new Map<string, Roles>();
  const add = (part: keyof Roles, state: string, role: Role) => {
    const roles = found.get(state) ?? { leavers: [], needers: [], upsetters: [] };
    found.set(state, roles);
    roles[part].push(role);
  };
  for (const step of rulebook.followUps.values()) {
    for (const need of needsOf(step)) add('needers', need.state, { ...need, step, from: step });
    for (const { from, when } of selfAndCovered(step, rulebook)) {
      for (const leave of leavesOf(from))
        add('leavers', leave.state, { ...leave, step, from, when: all(when, leave.when) });
      for (const upset of upsetsOf(from))
        add('upsetters', upset.state, { ...upset, step, from, when: all(when, upset.when) });
      for (const { state, tie } of upsetByWork(from, step, rulebook))
        add('upsetters', state, { ...tie, step, from, when: all(when, tie.when) });
    }
  }
  return found;
}

/** States upset by doing work that calls for a follow-up which leaves them, or by cutting the supply that they lapse with. */
function upsetByWork(from: FollowUp, step: FollowUp, rulebook: Rulebook): { state: string; tie: Tie }[] {
  return worksOf(from).flatMap((work) => {
    const calls = calledBy(from, work, rulebook).filter((call) => call.followUp !== step);
    const upset = calls.flatMap(({ followUp, when }) =>
      followUp.leaves.flatMap(({ state: id }) => {
        const state = rulebook.states.get(id);
        return state ? [{ state: id, tie: { ...work, when: all(when, leaving(followUp, state)) } }] : [];
      }),
    );
    const lapsing =
      work.work.did === 'power-lost' ? [...rulebook.states.values()].filter((s) => s.lapses === 'power-lost') : [];
    return [...upset, ...lapsing.map((state) => ({ state: state.id, tie: work }))];
  });
}

export interface Covering {
  readonly step: FollowUp;
  /** The step itself, or one that it covers. */
  readonly from: FollowUp;
  readonly when: Formula;
}

export function selfAndCovered(step: FollowUp, rulebook: Rulebook): Covering[] {
  const covered = step.covers.flatMap((cover): Covering[] => {
    const from = rulebook.followUps.get(cover.step);
    return from && from !== step ? [{ step, from, when: all(cover.applies, from.fits) }] : [];
  });
  return [{ step, from: step, when: all() }, ...covered];
}
