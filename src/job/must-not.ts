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
  /** Steps on the list that end it; with none, somebody has to show that it has ended. */
  readonly endedBy: readonly { readonly id: string; readonly title: string }[];
}

export function mustNots(situation: Situation): MustNot[] {
  const { rulebook, resolution } = situation;
  return [...rulebook.states.values()].flatMap((state) => {
    if (state.delivery !== 'must-not') return [];
    const made = madeBy(state, situation);
    if (!made) return [];
    const enders = state.upsetters.filter((f) => resolution.known.upsets(f, state.id) !== NEVER);
    const last = Math.max(
      situation.job.ended.get(state.id)?.seq ?? 0,
      ...enders.map((f) => lastTook(f.id, situation)?.seq ?? 0),
    );
    const endedBy = enders
      .filter((f) => stepOf(f.id, situation))
      .map(({ id, title }) => ({ id: stepOf(id, situation) ?? id, title }));
    return last > made.since.seq ? [] : [{ state, ...made, endedBy }];
  });
}

/**
 * The last step that left it: by its own record, or by the answer that it was done before the work, which lies before
 * all that was done after it, whenever the answer was given.
 */
export function madeBy(state: State, situation: Situation): { since: Mark; leaver: string } | undefined {
  const made = state.leavers.flatMap((leaver) => {
    const told = situation.job.answers.get(`done:${leaver.id}`);
    const took = lastTook(leaver.id, situation);
    const since =
      told && (!took || told.seq > took.seq) ? (told.answer === 'yes' ? { ...told, seq: 0 } : undefined) : took;
    return since ? [{ since, leaver: leaver.id }] : [];
  });
  return made.sort((a, b) => b.since.seq - a.since.seq)[0];
}

/** The step that does a follow-up: itself, or the one that covers it. */
function stepOf(followUp: string, { steps, resolution }: Situation): string | undefined {
  const by = resolution.verdicts.get(followUp)?.coveredBy?.id ?? followUp;
  return steps.has(by) ? by : undefined;
}
