import { pointer } from '../fault.ts';
import type { FollowUp, Rulebook, State, Way } from '../rulebook.ts';
import { PHASES } from '../schema.ts';
import { all, any, type Formula, not } from './car.ts';
import { NO_ROLES, type Role, type Roles, rolesIn, selfAndCovered } from './roles.ts';
import { existence } from './states.ts';

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

/** Every edge between two steps of one phase that some car may have. */
export function mayEdges(rulebook: Rulebook): MayEdge[] {
  const roles = rolesIn(rulebook);
  const edges = [...rulebook.states.values()].flatMap((state) => stateEdges(state, roles.get(state.id) ?? NO_ROLES));
  for (const step of rulebook.followUps.values()) {
    for (const { from, when } of selfAndCovered(step, rulebook)) {
      for (const said of statedOrders(from, rulebook)) {
        for (const first of [{ step: said.target, when: all() }, ...coverersOf(said.target, rulebook)]) {
          const both = all(step.fits, when, said.when, said.target.fits, first.step.fits, first.when);
          edges.push({
            before: first.step,
            after: step,
            when: both,
            why: said.why,
            file: from.file,
            pointer: said.pointer,
          });
        }
      }
    }
  }
  return edges.filter((e) => e.before.phase === e.after.phase && (e.before !== e.after || e.pointer.includes('needs')));
}

/** Who may do a step within itself: what comes after that step comes after them. */
function coverersOf(covered: FollowUp, rulebook: Rulebook): { step: FollowUp; when: Formula }[] {
  return [...rulebook.followUps.values()].flatMap((step) => {
    const covers = step === covered ? [] : step.covers.filter((c) => c.step === covered.id);
    return covers.map((c) => ({ step, when: all(c.applies) }));
  });
}

interface StatedOrder {
  readonly target: FollowUp;
  readonly when: Formula;
  readonly why: string;
  readonly pointer: string;
}

/** Orders that a source states, also through steps that are not on the list: where they are on it, they only add links. */
function statedOrders(from: FollowUp, { followUps }: Rulebook): StatedOrder[] {
  const found: StatedOrder[] = [];
  const follow = (step: FollowUp, sofar: Formula, through: readonly FollowUp[], at?: string) => {
    for (const [i, { step: id, applies, because }] of step.after.entries()) {
      const target = followUps.get(id);
      if (!target || through.includes(target)) continue;
      const when = all(sofar, applies);
      const by = through.map((t) => `\`${t.id}\``).join(', ');
      const place = at ?? pointer('after', i);
      const why = `\`${from.id}\` comes after \`${target.id}\`${by ? `, by way of ${by}` : ''}: ${because}`;
      found.push({ target, when, why, pointer: place });
      follow(target, when, [...through, target], place);
    }
  };
  follow(from, all(), []);
  return found;
}

function stateEdges(state: State, { leavers, needers, upsetters }: Roles): MayEdge[] {
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
      const why = `\`${upsetter.step.id}\` upsets \`${state.id}\`, which \`${leaver.step.id}\` leaves`;
      const one = must ? edge(upsetter, leaver, upsetter, why) : edge(leaver, upsetter, upsetter, why);
      // Whoever leaves the state itself has upset it only on the way.
      const leavesToo = any(leavers.filter((l) => l.step === upsetter.step).map((l) => l.when));
      edges.push({
        ...one,
        when: all(one.when, not(leavesToo)),
        ...(must && leaver.step.repeatable ? { repeats: true } : {}),
      });
    }
  }
  return [...edges, ...keepingEdges(state, needers, upsetters)];
}

/** Needers before the upsetters, where nobody of their own phase or before makes the state again. */
function keepingEdges(state: State, needers: readonly Role[], upsetters: readonly Role[]): MayEdge[] {
  const exists = existence(state);
  return needers.flatMap((needer) => {
    const early = state.leavers.every((l) => PHASES.indexOf(needer.step.phase) < PHASES.indexOf(l.phase));
    if (state.delivery === 'must' && !early) return [];
    return upsetters
      .filter((upsetter) => upsetter.step !== needer.step)
      .map((upsetter) => {
        const why = `\`${needer.step.id}\` needs \`${state.id}\` before \`${upsetter.step.id}\` upsets it`;
        const kept = edge(needer, upsetter, upsetter, why);
        return { ...kept, when: all(kept.when, exists) };
      });
  });
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

/** The covered one has no place of its own in the order where the other is on the list. */
export function apart(steps: readonly FollowUp[]): Formula {
  const covers = steps.flatMap((step) => step.covers.filter((c) => steps.some((s) => s.id === c.step)));
  return not(any(covers.map((c) => all(c.applies))));
}
