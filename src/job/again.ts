import type { Edge } from '../resolve/edges.ts';
import { lineText } from '../resolve/words.ts';
import type { Line as WorkedLine } from '../resolve/result.ts';
import type { State } from '../rulebook/rulebook.ts';
import { standingLines } from './facts.ts';
import { madeBy } from './must-not.ts';
import { followUpOf, recordedDone, type Situation } from './situation.ts';
import type { Mark, Stage } from './state.ts';

/** The stage a step has once everything that upset it since is told; `again` says why it has to be done once more. */
export interface Standing {
  readonly stage: Stage;
  readonly again?: string;
  readonly undoneBy?: Undoing;
}

/** What made it worth nothing: who shows a comeback its cause asks for that. */
export type Undoing = 'work' | 'code' | 'way' | 'must-not' | 'lapse' | 'forerunner' | 'sent-back';
type Undone = readonly [Undoing, string];

/** Reads what stands of each step that took: what came after it may have undone it. */
export class Standings {
  private readonly told = new Map<string, Standing>();

  constructor(private readonly situation: Situation) {}

  of(step: string): Standing {
    const known = this.told.get(step);
    if (known) return known;
    const record = this.situation.job.steps.get(step);
    const stage = record?.stage ?? 'open';
    // Edges are free of rings; this only keeps a broken one from running on.
    this.told.set(step, { stage });
    const again = stage === 'took' && record?.took ? this.againBecause(step, record.took) : undefined;
    const standing: Standing = again
      ? { stage: 'open', again: again[1], undoneBy: again[0] }
      : {
          stage,
          ...(record?.sentBack && stage === 'open'
            ? { again: `sent back by ${record.sentBack.by}: ${record.sentBack.because}`, undoneBy: 'sent-back' }
            : {}),
        };
    this.told.set(step, standing);
    return standing;
  }

  /** Of two answers none counts until one stands. */
  isContested(step: string): boolean {
    return this.situation.job.steps.get(step)?.rivals !== undefined;
  }

  finished(step: string): boolean {
    const { stage } = this.of(step);
    if (this.isContested(step)) return false;
    return stage === 'took' || stage === 'not-done';
  }

  private againBecause(step: string, took: Mark): Undone | undefined {
    // What was read, saved or opened before the work is not upset by the work that it was done for.
    const worked =
      followUpOf(step, this.situation.rulebook).phase === 'before'
        ? undefined
        : (as('work', this.newWork(step, took)) ?? as('code', this.codeStays(step, took)));
    return (
      worked ??
      as('way', this.otherWay(step)) ??
      as('must-not', this.mustNot(step, took)) ??
      as('lapse', this.lapse(step, took)) ??
      as('forerunner', this.forerunner(step, took))
    );
  }

  private otherWay(step: string): string | undefined {
    const { job, rulebook, resolution } = this.situation;
    const followUp = followUpOf(step, rulebook);
    const way = job.steps.get(step)?.way;
    const offered = resolution.ways.get(followUp.id)?.offered ?? [];
    if (way === undefined || offered.length === 0 || offered.some((w) => w.id === way)) return undefined;
    return `the way it was done (${followUp.ways.find((w) => w.id === way)?.text.title ?? way.replaceAll('-', ' ')}) is not this car's`;
  }

  /** A line written up since that calls for it. A line that is the step itself does not. */
  private newWork(step: string, took: Mark): string | undefined {
    const { job, rulebook, resolution } = this.situation;
    const lines = standingLines(job);
    for (const cause of resolution.verdicts.get(followUpOf(step, rulebook).id)?.causes ?? []) {
      if (cause.kind !== 'call' || !cause.line || cause.trigger.index < 0) continue;
      const root = rootOf(cause.line);
      const line = root.origin.kind === 'order' ? lines[root.origin.index] : undefined;
      if (line && line.seq > took.seq) return `new work since it took: ${lineText(rulebook, root)}`;
    }
    return undefined;
  }

  private codeStays(step: string, took: Mark): string | undefined {
    const { job, rulebook, resolution } = this.situation;
    const scan = job.scans.after;
    if (!scan || scan.seq < took.seq) return undefined;
    const calls = resolution.verdicts.get(followUpOf(step, rulebook).id)?.causes ?? [];
    const code = calls
      .flatMap((c) => (c.kind === 'call' && c.code ? [c.code] : []))
      .find((c) => scan.codes.some((s) => s.code === c));
    return code && `code ${code} is there after it`;
  }

  /** A state that lapsed is made again where the car must go with it, or where somebody still needs it. */
  private lapse(step: string, took: Mark): string | undefined {
    const { job, rulebook, resolution } = this.situation;
    const followUp = followUpOf(step, rulebook);
    const within = [...resolution.verdicts.values()].filter((v) => v.coveredBy === followUp).map((v) => v.followUp);
    const left = [followUp, ...within].flatMap((f) => f.leaves.map((leave) => leave.state));
    const state = left.find(
      (id) => (job.lapsed.get(id)?.seq ?? 0) > took.seq && this.stillWanted(rulebook.states.get(id) as State),
    );
    return state && `"${rulebook.states.get(state)?.title}" has lapsed since`;
  }

  /** It ended a state that the car must not leave with, and the car was brought into it once more. */
  private mustNot(step: string, took: Mark): string | undefined {
    const { rulebook } = this.situation;
    const followUp = followUpOf(step, rulebook);
    const made = [...rulebook.states.values()].find(
      (state) =>
        state.delivery === 'must-not' &&
        state.upsetters.includes(followUp) &&
        (madeBy(state, this.situation)?.since.seq ?? 0) > took.seq,
    );
    return made && `the car was brought into this once more: ${made.title}`;
  }

  private stillWanted(state: State): boolean {
    const { job, order } = this.situation;
    if (state.delivery === 'must' && state.start !== 'absent') return true;
    if (!job.workDone && state.leavers.some((l) => l.phase !== 'after')) return true;
    const needers = order.nodes.filter(
      (n) => state.needers.includes(n.verdict.followUp) && n.verdict.kind === 'needed',
    );
    return needers.some((n) => !recordedDone(job.steps.get(n.id)));
  }

  private forerunner(step: string, took: Mark): string | undefined {
    const { job, rulebook } = this.situation;
    for (const edge of this.situation.before.get(step) ?? []) {
      if (!undoes(edge, step)) continue;
      const title = followUpOf(edge.before, rulebook).title;
      if (!this.finished(edge.before)) return `${title} comes before it and is still to be done`;
      const other = job.steps.get(edge.before)?.took;
      if (other && other.seq > took.seq) return `${title} was done after it`;
    }
    return undefined;
  }
}

function as(by: Undoing, why: string | undefined): Undone | undefined {
  return why === undefined ? undefined : [by, why];
}

/** Whether a forerunner that comes late makes what follows it worthless; one that only had to come first does not. */
function undoes({ reason, after }: Edge, step: string): boolean {
  switch (reason.kind) {
    case 'needs':
      return reason.state.delivery === 'must' && reason.state.start !== 'absent' && reason.guard !== true;
    case 'stands':
      return reason.step.stands === 'last' && after === step && reason.step.id === step.split('#')[0];
    case 'keeps':
      return false;
    default:
      return true;
  }
}

function rootOf(line: WorkedLine): WorkedLine {
  return line.origin.kind === 'implied' ? rootOf(line.origin.parent) : line;
}
