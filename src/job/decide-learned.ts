import { nearestName } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { itemOf, plan } from './plan.ts';
import type { Turns } from './turn.ts';

/** What a job teaches about the rules; said while it is open, or when it is long gone. */
export const LEARNED: Turns<'outcome-told' | 'item-noted' | 'item-note-struck'> = {
  'outcome-told': ({ cause, followUp }, job, { rulebook }) => {
    if (!job.cameBack) return [`job ${job.ro} is not one that came back: there is no outcome to tell`];
    if (cause === 'elsewhere')
      return followUp === undefined ? {} : [`\`elsewhere\` means that no follow-up was missed: leave ${followUp} out`];
    if (followUp === undefined) return [`which follow-up was it? \`${cause}\` names one`];
    return rulebook.followUps.has(followUp) ? {} : [unknown(followUp, rulebook)];
  },
  'item-noted': ({ step, was, note }, job, { rulebook }) => {
    if (step === undefined) {
      if (was === 'wrong') return ['which item is wrong? name its step'];
      return note === undefined ? ['what is missing? no rule is named: say it in words'] : {};
    }
    const id = step.split('#')[0] as string;
    const item = itemOf(plan(job, rulebook), step);
    if (was === 'wrong')
      return item ? {} : [`\`${step}\` is not on the list of ${job.ro}: it can be missing, not wrong`];
    if (item) return [`${item.title} is on the list of ${job.ro}: it can be wrong, not missing`];
    return rulebook.followUps.has(id) ? {} : [unknown(id, rulebook)];
  },
  'item-note-struck': ({ noted, by }, job) => {
    const note = job.itemNotes.find(({ event }) => event === noted);
    if (!note) return [`there is no note \`${noted}\` on ${job.ro} to take back`];
    return note.by === by ? {} : [`${note.by} noted that, and only ${note.by} takes it back`];
  },
};

function unknown(id: string, { followUps }: Rulebook): string {
  const near = nearestName(id, followUps.keys());
  return `\`${id}\` is no follow-up that the rulebook knows${near ? `; did you mean \`${near}\`?` : ''}`;
}
