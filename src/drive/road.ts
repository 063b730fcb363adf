import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Drive } from '../rulebook/schema.ts';
import { composeDrive, type Leg, legCard } from './compose.ts';

/** What a planned step must tell for its drive: its own place in the order and its way. */
export interface RoadStep {
  readonly id: string;
  readonly followUp: string;
  readonly way: string;
  readonly waitsFor: readonly string[];
}

export interface RoadDrive {
  readonly steps: readonly string[];
  readonly legs: readonly (Leg & { readonly card: readonly string[] })[];
  readonly minutes: number;
  /** Minutes that sharing saves against one drive for each step. */
  readonly saved: number;
  readonly exact: boolean;
}

/** Finds each run of road steps that follow each other and composes it into one drive. */
export function roadDrives(steps: readonly RoadStep[], rulebook: Rulebook): RoadDrive[] {
  const runs: RoadStep[][] = [];
  let last: RoadStep[] | undefined;
  for (const step of steps) {
    if (!driveOf(step, rulebook)) last = undefined;
    else if (last) last.push(step);
    else runs.push((last = [step]));
  }
  return runs.map((run) => compose(run, rulebook));
}

function compose(run: readonly RoadStep[], rulebook: Rulebook): RoadDrive {
  const demands = run.map((step) => ({ step: step.id, drive: driveOf(step, rulebook) as Drive }));
  const before = run.flatMap((step) => step.waitsFor.map((other): [string, string] => [other, step.id]));
  const drive = composeDrive(demands, before);
  const apart = demands.reduce((sum, demand) => sum + composeDrive([demand]).minutes, 0);
  return {
    ...drive,
    steps: run.map((s) => s.id),
    legs: drive.legs.map((leg) => ({ ...leg, card: legCard(leg) })),
    saved: apart - drive.minutes,
  };
}

function driveOf(step: RoadStep, rulebook: Rulebook): Drive | undefined {
  return rulebook.followUps.get(step.followUp)?.ways.find((way) => way.id === step.way)?.text.drive;
}
