import { pointer } from '../fault.ts';
import type { FollowUp, Rulebook, Trigger } from '../rulebook.ts';
import { all, any, type Formula, findCar, not } from './car.ts';
import { takesIn } from './conditions.ts';
import type { Lint } from './lint.ts';

/** What a follow-up tells the people who read it. */

export const examplesOfEach: Lint = {
  id: 'examples-of-each',
  scope: 'examples',
  says: 'a file shows a job on which it is needed, one on which it is not, and one that leaves it open where something can be unknown',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, domains }) {
    for (const followUp of followUps.values()) {
      const shown = new Set(followUp.text.examples.map((e) => e.verdict));
      const wanted = canBeOpen(followUp, domains)
        ? (['needed', 'excluded', 'undecided'] as const)
        : (['needed', 'excluded'] as const);
      for (const verdict of wanted) {
        if (!shown.has(verdict))
          yield { file: followUp.file, pointer: '/examples', message: `no example with verdict ${verdict}` };
      }
    }
  },
};

export const cautionsOnSafety: Lint = {
  id: 'cautions-on-safety',
  scope: 'telling',
  says: 'what can hurt someone says its cautions, in the file or on each way',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, safety, text } of followUps.values()) {
      if (!safety || text.cautions?.length) continue;
      for (const [i, way] of text.ways.entries()) {
        if (!way.cautions?.length)
          yield { file, pointer: pointer('ways', i), message: 'safety follow-up without cautions', value: way.id };
      }
    }
  },
};

export const skippedIsTold: Lint = {
  id: 'skipped-is-told',
  scope: 'telling',
  says: 'a file says what is noticed if the step is skipped',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, text } of followUps.values()) {
      if (text.skipped.length === 0)
        yield {
          file,
          pointer: '/skipped',
          message: 'nothing says what is noticed if this is skipped',
          hint: '"silent": true is an answer',
        };
    }
  },
};

/** Some car or line leaves it open: what fits is a question, or where the work was, or what a line calls for. */
function canBeOpen(f: FollowUp, domains: Rulebook['domains']): boolean {
  if (f.fits.variables.length > 0 || f.triggers.some((t) => t.work.some((w) => w.at !== undefined))) return true;
  const calling = f.triggers.filter((t) => t.level !== 'not-needed');
  const lines = calling.flatMap((t) => [
    ...t.work.map((line) => calledBy(f, (u) => u.work.some((w) => takesIn(w, line)))),
    ...t.codes.map((code) => calledBy(f, (u) => u.codes.includes(code))),
  ]);
  return lines.some((called) => findCar(called, domains) && findCar(not(called), domains));
}

/** On which cars one line or code calls for it, given the triggers that it hits: the highest rank speaks. */
function calledBy(f: FollowUp, isHit: (trigger: Trigger) => boolean): Formula {
  const hit = f.triggers.filter(isHit);
  const silent = (rank: number) =>
    hit.filter((t) => t.level === 'not-needed' && t.rank > rank).map((t) => all(t.applies));
  return any(hit.filter((t) => t.level !== 'not-needed').map((t) => all(t.applies, not(any(silent(t.rank))))));
}
