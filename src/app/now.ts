import type { Step } from '../checklist.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Planned } from './plan.ts';

/** A step that could be begun at once. */
export interface Ready {
  readonly planned: Planned;
  readonly step: Step;
  /** Where it must be done; '' = anywhere. */
  readonly place: string;
}

/** Steps whose forerunners are through: before the work and while parts are off until the work is done, then what follows it. */
export function readySteps(planned: Planned, rulebook: Rulebook): Ready[] {
  const { list, job } = planned;
  const done = job['work-done'] ?? false;
  const through = new Set(list?.steps.filter(({ asked }) => asked === 'yes' || asked === 'no').map(({ id }) => id));
  return (list?.steps ?? [])
    .filter((step) => !step.asked && (step.phase === 'after') === done && step.waitsFor.every((id) => through.has(id)))
    .map((step) => ({ planned, step, place: placeOf(step, rulebook) }));
}

/** Steps that must be done where one stands, or with what is at hand, but wait; '' and [] = none. */
export function waitingHere(planned: Planned, rulebook: Rulebook, stand: string, tools: readonly string[]): Ready[] {
  const ready = new Set(readySteps(planned, rulebook).map(({ step }) => step.id));
  return (planned.list?.steps ?? [])
    .filter((step) => !step.asked && !ready.has(step.id))
    .map((step) => ({ planned, step, place: placeOf(step, rulebook) }))
    .filter(({ step, place }) => (stand !== '' && place === stand) || (stand === '' && tools.includes(step.tool)));
}

/** Where steps of a job must be done. */
export function placesOf({ list }: Planned, rulebook: Rulebook): string[] {
  return (list?.steps ?? []).map((step) => placeOf(step, rulebook));
}

/** Those that can be done where one stands, with what is at hand; '' and [] = wherever and with anything. */
export function readyHere(all: readonly Ready[], stand: string, tools: readonly string[]): Ready[] {
  const here = all.filter(
    ({ place, step }) =>
      (stand === '' || place === '' || place === stand) &&
      (tools.length === 0 || step.tool === 'none' || tools.includes(step.tool)),
  );
  // What can be done only here, or only with this tool, comes before what can be done anywhere.
  const rank = ({ place, step }: Ready) => (place === '' ? 2 : 0) + (step.tool === 'none' ? 1 : 0);
  return here.sort((a, b) => Number(b.step.safety) - Number(a.step.safety) || rank(a) - rank(b));
}

/** What its own way asks for, not where the car happens to stand by then. */
function placeOf({ followUp, way }: Step, rulebook: Rulebook): string {
  const text = rulebook.followUps.get(followUp)?.ways.find(({ id }) => id === way)?.text;
  return text?.drive ? 'road' : (text?.setup?.place ?? '');
}
