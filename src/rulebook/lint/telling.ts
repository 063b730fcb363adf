import { pointer } from '../fault.ts';
import type { FollowUp } from '../rulebook.ts';
import type { Lint } from './lint.ts';

/** What a follow-up tells the people who read it. */

export const examplesOfEach: Lint = {
  id: 'examples-of-each',
  scope: 'examples',
  says: 'a file shows a job on which it is needed, one on which it is not, and one that leaves it open where something can be unknown',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const followUp of followUps.values()) {
      const shown = new Set(followUp.text.examples.map((e) => e.verdict));
      const wanted = canBeOpen(followUp)
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

/** Something about the car or the line can be unknown; a line without a position is one where a trigger asks for it. */
function canBeOpen({ fits, triggers }: FollowUp): boolean {
  const open = (t: FollowUp['triggers'][number]) => t.applies.length > 0 || t.work.some((w) => w.at !== undefined);
  return fits.variables.length > 0 || triggers.some((t) => t.level !== 'not-needed' && open(t));
}
