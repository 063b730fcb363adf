import { NEVER } from '../rulebook/condition.ts';
import type { State } from '../rulebook/rulebook.ts';
import { lastTook, type Situation } from './situation.ts';
import type { Mark } from './state.ts';

/** A state that the car is in and must not leave with: brake opened for pads, high voltage shut off. */
export interface MustNot {
  readonly state: State;
  /** Who brought it about, and when. */
  readonly since: Mark;
  /** The follow-up that left it. */
  readonly leaver: string;
  /** Follow-ups of this car that end it. */
  readonly endedBy: readonly { readonly id: string; readonly title: string }[];
}

export function mustNots(situation: Situation): MustNot[] {
  const { rulebook, resolution } = situation;
  return [...rulebook.states.values()].flatMap((state) => {
    if (state.delivery !== 'must-not') return [];
    const made = madeBy(state, situation);
    if (!made) return [];
    const enders = state.upsetters.filter((f) => resolution.known.upsets(f, state.id) !== NEVER);
    const ended = enders.some((f) => (lastTook(f.id, situation)?.seq ?? 0) > made.since.seq);
    const ruled = (situation.job.ruledOut.get(made.leaver)?.seq ?? 0) > made.since.seq;
    return ended || ruled ? [] : [{ state, ...made, endedBy: enders.map(({ id, title }) => ({ id, title })) }];
  });
}

/** The last step that left it: by its own record, or by the answer that it was done before the work. */
function madeBy(state: State, situation: Situation): { since: Mark; leaver: string } | undefined {
  const made = state.leavers.flatMap((leaver) => {
    const told = situation.job.answers.get(`done:${leaver.id}`);
    const took = lastTook(leaver.id, situation);
    const since = told && (!took || told.seq > took.seq) ? (told.answer === 'yes' ? told : undefined) : took;
    return since ? [{ since, leaver: leaver.id }] : [];
  });
  return made.sort((a, b) => b.since.seq - a.since.seq)[0];
}
