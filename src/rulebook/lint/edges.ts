import { pointer } from '../fault.ts';
import type { FollowUp, Rulebook, State, Way } from '../rulebook.ts';
import { PHASES } from '../schema.ts';
import { all, any, type Formula, not } from './car.ts';
import { calledBy, leavesOf, needsOf, type StateTie, type Tie, upsetsOf, worksOf } from './relations.ts';
import { existence, leaving } from './states.ts';

/** One step may have to stand before another of its phase: who says so, why, and on which cars. */
export interface MayEdge {
  readonly before: FollowUp;
  readonly after: FollowUp;
  /** The steps themselves fit; whether anything calls for them is not part of it. */
  readonly when: Formula;
  readonly why: string;
  readonly file: string;
  readonly pointer: string;
  /** Into a repeatable follow-up whose state is upset: a ring through here is taken apart by doing that one again. */
  readonly repeats?: boolean;
  /** Only if the step is done this way. */
  readonly beforeWay?: Way;
  readonly afterWay?: Way;
}

interface Role extends Tie {
  readonly step: FollowUp;
  /** Where the tie is written, if not in the step's own file: it covers that follow-up. */
  readonly from: FollowUp;
  readonly because?: string;
}

/** Every edge between two steps of one phase that some car may have. */
export function mayEdges(rulebook: Rulebook): MayEdge[] {
  const edges = [...rulebook.states.values()].flatMap((state) => stateEdges(state, rulebook));
  for (const step of rulebook.followUps.values()) {
    for (const { from, when } of selfAndCovered(step, rulebook)) {
      for (const [i, after] of from.after.entries()) {
        const target = rulebook.followUps.get(after.step);
        if (!target) continue;
        const both = all(step.fits, when, after.applies, target.fits);
        edges.push({
          before: target,
          after: step,
          when: both,
          why: `a source says so: ${after.because}`,
          file: from.file,
          pointer: pointer('after', i),
        });
      }
    }
  }
  return edges.filter((e) => e.before.phase === e.after.phase && (e.before !== e.after || e.pointer.includes('needs')));
}

function stateEdges(state: State, rulebook: Rulebook): MayEdge[] {
  const [leavers, needers, upsetters] = [
    leaversOf(state, rulebook),
    needersOf(state, rulebook),
    upsettersOf(state, rulebook),
  ];
  const must = state.delivery === 'must';
  const edges: MayEdge[] = [];
  for (const leaver of leavers) {
    for (const needer of needers) {
      // What a step leaves by covering another is left as it is done: it does not wait for itself.
      if (leaver.step === needer.step && leaver.from !== leaver.step) continue;
      const why = `\`${needer.step.id}\` needs \`${state.id}\`, which \`${leaver.step.id}\` leaves`;
      edges.push(edge(leaver, needer, needer, why));
    }
    for (const upsetter of upsetters) {
      if (leavers.some((l) => l.step === upsetter.step)) continue;
      const why = `\`${upsetter.step.id}\` upsets \`${state.id}\`, which \`${leaver.step.id}\` leaves`;
      if (!must) edges.push(edge(leaver, upsetter, upsetter, why));
      else
        edges.push({ ...edge(upsetter, leaver, upsetter, why), ...(leaver.step.repeatable ? { repeats: true } : {}) });
    }
  }
  for (const needer of needers) {
    const early = state.leavers.every((l) => PHASES.indexOf(needer.step.phase) < PHASES.indexOf(l.phase));
    if (must && !early) continue;
    const exists = existence(state);
    for (const upsetter of upsetters) {
      if (upsetter.step === needer.step) continue;
      const kept = edge(
        needer,
        upsetter,
        upsetter,
        `\`${needer.step.id}\` needs \`${state.id}\` before \`${upsetter.step.id}\` upsets it`,
      );
      edges.push({ ...kept, when: all(kept.when, exists) });
    }
  }
  return edges;
}

function edge(first: Role, second: Role, said: Role, why: string): MayEdge {
  return {
    before: first.step,
    after: second.step,
    when: all(first.step.fits, first.when, second.step.fits, second.when),
    why,
    file: said.from.file,
    pointer: said.pointer,
    ...(first.way ? { beforeWay: first.way } : {}),
    ...(second.way ? { afterWay: second.way } : {}),
  };
}

function leaversOf(state: State, rulebook: Rulebook): Role[] {
  return eachWithCovered(rulebook, ({ step, from, when }) =>
    leavesOf(from)
      .filter((l) => l.state === state.id)
      .map((l) => ({ ...l, step, from, when: all(when, l.when) })),
  );
}

/** A step that covers another does not take over its needs. */
function needersOf(state: State, rulebook: Rulebook): Role[] {
  const roles = (step: FollowUp) =>
    needsOf(step)
      .filter((n) => n.state === state.id)
      .map((n: StateTie): Role => ({ ...n, step, from: step }));
  return [...rulebook.followUps.values()].flatMap(roles);
}

/** Said outright, or by doing work that calls for a follow-up which leaves the state, or by cutting the supply it lapses with. */
function upsettersOf(state: State, rulebook: Rulebook): Role[] {
  return eachWithCovered(rulebook, ({ step, from, when }) => [
    ...upsetsOf(from)
      .filter((u) => u.state === state.id)
      .map((u) => ({ ...u, step, from, when: all(when, u.when) })),
    ...worksOf(from).flatMap((tie) => {
      const calls = calledBy(from, tie, rulebook).filter(
        (c) => c.followUp !== step && c.followUp.leaves.some((l) => l.state === state.id),
      );
      const upsets = calls.map((c) => all(c.when, leaving(c.followUp, state)));
      const lapses = state.lapses === 'power-lost' && tie.work.did === 'power-lost' ? [tie.when] : [];
      return [...upsets, ...lapses].map((one): Role => ({ ...tie, step, from, when: all(when, one) }));
    }),
  ]);
}

interface Covering {
  readonly step: FollowUp;
  readonly from: FollowUp;
  readonly when: Formula;
}

function eachWithCovered(rulebook: Rulebook, roles: (covering: Covering) => Role[]): Role[] {
  return [...rulebook.followUps.values()].flatMap((step) => selfAndCovered(step, rulebook).flatMap((c) => roles(c)));
}

function selfAndCovered(step: FollowUp, rulebook: Rulebook): Covering[] {
  const covered = step.covers.flatMap((cover): Covering[] => {
    const from = rulebook.followUps.get(cover.step);
    return from && from !== step ? [{ step, from, when: all(cover.applies, from.fits) }] : [];
  });
  return [{ step, from: step, when: all() }, ...covered];
}

/** The covered one has no place of its own in the order where the other is on the list. */
export function apart(steps: readonly FollowUp[]): Formula {
  const covers = steps.flatMap((step) => step.covers.filter((c) => steps.some((s) => s.id === c.step)));
  return not(any(covers.map((c) => all(c.applies))));
}
