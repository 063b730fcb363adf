import { pointer } from '../fault.ts';
import {
  type Call,
  type FollowUp,
  reaches,
  type Rulebook,
  type StepWork,
  type Trigger,
  type Way,
} from '../rulebook.ts';
import type { WorkMatch } from '../schema.ts';
import { all, any, type Formula, not } from './car.ts';

/** What a follow-up has to do with states and work, its ways included, each with the condition under which it is so. */

export interface Tie {
  readonly pointer: string;
  readonly when: Formula;
  /** Only if the step is done this way. */
  readonly way?: Way;
}
export interface StateTie extends Tie {
  readonly state: string;
  readonly guard?: boolean;
}
export interface WorkTie extends Tie {
  readonly work: StepWork;
}

/** Lints ask for the same ties over and over; a rulebook never changes under them. */
function remembered<T>(make: (f: FollowUp) => T): (f: FollowUp) => T {
  const known = new WeakMap<FollowUp, T>();
  return (f) => {
    const ties = known.get(f) ?? make(f);
    known.set(f, ties);
    return ties;
  };
}

export const needsOf = remembered((f: FollowUp): StateTie[] => {
  const own = f.needs.map((n, i): StateTie => ({ state: n.state, when: all(n.applies), pointer: pointer('needs', i) }));
  const ofWays = f.ways.flatMap((way, w) =>
    way.needs.map((n, i): StateTie => {
      const at = n.guard ? pointer('ways', w) : pointer('ways', w, 'needs', i);
      return { state: n.state, when: all(planned(f, way), n.applies), pointer: at, way, guard: n.guard ?? false };
    }),
  );
  return [...own, ...ofWays];
});

export const leavesOf = remembered((f: FollowUp): StateTie[] => {
  return f.leaves.map((l, i) => ({ state: l.state, when: all(l.applies), pointer: pointer('leaves', i) }));
});

/** States that the file itself says it upsets; work it does may upset more. */
export const upsetsOf = remembered((f: FollowUp): StateTie[] => {
  const own = f.upsets.map(
    (u, i): StateTie => ({ state: u.state, when: all(u.applies), pointer: pointer('upsets', i) }),
  );
  const ofWays = f.ways.flatMap((way, w) =>
    way.upsets.map(
      (u, i): StateTie => ({
        state: u.state,
        when: all(planned(f, way), u.applies),
        pointer: pointer('ways', w, 'upsets', i),
        way,
      }),
    ),
  );
  return [...own, ...ofWays];
});

export const worksOf = remembered((f: FollowUp): WorkTie[] => {
  const own = f.does.map((work, i): WorkTie => ({ work, when: all(work.applies), pointer: pointer('does', i) }));
  const ofWays = f.ways.flatMap((way, w) =>
    way.does.map(
      (work, i): WorkTie => ({
        work,
        when: all(planned(f, way), work.applies),
        pointer: pointer('ways', w, 'does', i),
        way,
      }),
    ),
  );
  return [...own, ...ofWays];
});

/** This way is the one planned: it applies, and none before it does that any shop with its tool could take. */
function planned(f: FollowUp, way: Way): Formula {
  const before = f.ways.slice(0, f.ways.indexOf(way)).filter((w) => w.tool === 'none' || w.tool === way.tool);
  return all(way.applies, not(any(before.map((w) => all(w.applies)))));
}

/** A follow-up that a step's own work calls for, the trigger that does it, and when that trigger speaks for the work. */
export interface CalledByWork {
  readonly followUp: FollowUp;
  readonly trigger: Trigger;
  readonly when: Formula;
}

/** Work that a step does fires triggers as a work line would, with all that follows from it; never its own, and no `done-by`. */
export function calledBy(step: FollowUp, { work, when }: WorkTie, rulebook: Rulebook): CalledByWork[] {
  return closure(work, when, rulebook).flatMap((line) => {
    const calls = (rulebook.callsByPart.get(line.work.part) ?? []).filter(
      (c) => c.followUp !== step && c.trigger.index >= 0,
    );
    const hit = calls.filter((call) => call.match !== undefined && strikes(line.work, call.match));
    return hit
      .filter(({ trigger }) => trigger.level !== 'not-needed')
      .map(({ followUp, trigger }) => ({
        followUp,
        trigger,
        when: all(line.when, followUp.fits, trigger.applies, not(any(silencers(trigger, followUp, hit)))),
      }));
  });
}

interface Line {
  readonly work: Pick<StepWork, 'part' | 'did' | 'at'>;
  readonly when: Formula;
}

/** The work itself and what it implies, to the end of every chain. */
function closure(work: Line['work'], when: Formula, rulebook: Rulebook): Line[] {
  const lines: Line[] = [{ work, when }];
  for (const line of lines) {
    for (const row of rulebook.parts.get(line.work.part)?.implies ?? []) {
      if (!reaches(line.work.did, row.when) || lines.some((l) => l.work.part === row.part && l.work.did === row.did))
        continue;
      const at = row.at === 'same' ? line.work.at : row.at;
      lines.push({ work: { part: row.part, did: row.did, ...(at ? { at } : {}) }, when: all(line.when, row.applies) });
    }
  }
  return lines;
}

/** A narrower "not needed" speaks instead. */
function silencers(trigger: Trigger, followUp: FollowUp, hit: readonly Call[]): Formula[] {
  const narrower = hit.filter(
    (c) => c.followUp === followUp && c.trigger.level === 'not-needed' && c.trigger.rank > trigger.rank,
  );
  return narrower.map((c) => all(c.trigger.applies));
}

/** Whether work may hit a match; where the work names no position it may. */
function strikes(work: Line['work'], match: WorkMatch): boolean {
  return match.part === work.part && reaches(work.did, match.did, match.exactly) && meet(work.at, match.at);
}

export function meet(a: readonly string[] | undefined, b: readonly string[] | undefined): boolean {
  return a === undefined || b === undefined || a.some((position) => b.includes(position));
}

/** The follow-up is called for by work or codes of its own. */
export function called(f: FollowUp): Formula {
  return any(f.triggers.filter((t) => t.level !== 'not-needed').map((t) => all(t.applies)));
}
