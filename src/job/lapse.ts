import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Job } from './state.ts';

/** States left on this job that a night ends; over night the ignition is off, unless the car was left with it on. */
export function lapsing(job: Job, rulebook: Rulebook): string[] {
  const ignition = job.setUpLeft?.setup['ignition'] ?? 'off';
  const ended = (lapses: string) => lapses === 'overnight' || (lapses === 'ignition-off' && ignition === 'off');
  const took = new Set([...job.steps].filter(([, r]) => r.stage === 'took').map(([step]) => step.split('#')[0]));
  // A step leaves the states of what it covers as well.
  const within = [...took].flatMap((id) => rulebook.followUps.get(id as string)?.covers.map((c) => c.step) ?? []);
  const done = new Set([...took, ...within]);
  return [...rulebook.states.values()]
    .filter((s) => ended(s.lapses) && s.leavers.some((l) => done.has(l.id)))
    .map((s) => s.id);
}
