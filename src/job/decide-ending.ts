import { checkItem, finalCheck, NOTHING_LEFT } from './final-check.ts';
import { cannotTell } from './gate-steps.ts';
import { refusals } from './gate.ts';
import { plan } from './plan.ts';
import { judgeReading } from './readings.ts';
import { missingPhotos } from './step-values.ts';
import { safetyLines } from './unfinished.ts';
import type { Turns } from './turn.ts';

/** The foreman's check, and how a job ends. */
export const ENDINGS: Turns<'checked' | 'released' | 'left-unfinished' | 'reopened'> = {
  checked: (command, job, { rulebook, shop }) => {
    const made = plan(job, rulebook);
    const item = checkItem(made, command.item);
    if (!item)
      return [
        `\`${command.item}\` is not on the final check; there is ${finalCheck(made)
          .flat()
          .map((i) => i.id)
          .join(', ')}`,
      ];
    const independent = !item.hands.some((hand) => samePerson(hand, command.by));
    if (!independent && !shop.alone) return [`${item.title}: ${command.by} had a hand in it; somebody else checks it`];
    const photos = missingPhotos({ value: command.value }, job);
    if (photos.length > 0) return photos;
    const judged = judgeReading(item.asked, command.value, job.units);
    if (judged.verdict === 'fails')
      return [
        `${item.title} does not pass the check: ${judged.text} ${item.id === NOTHING_LEFT ? 'Take it away and look again' : 'Send it back'}`,
      ];
    return judged.verdict === 'passes' ? { independent } : [judged.text];
  },
  released: (_, job, { rulebook }) => {
    const made = plan(job, rulebook);
    const open = refusals(made);
    if (open.length > 0) return open.map((refusal) => refusal.text);
    const asked = made.items.filter((item) => item.kind === 'undecided' && item.stage === 'open' && !item.ruledOut);
    return {
      owner: made.items.filter((item) => item.owner && item.kind !== 'undecided').map((item) => item.id),
      undetermined: asked
        .filter((item) => item.decides.every((question) => cannotTell(question, job)))
        .map((item) => item.id),
      independent: finalCheck(made)
        .flat()
        .every((item) => job.checks.get(item.id)?.independent),
    };
  },
  'left-unfinished': (command, job, { rulebook }) => {
    const made = plan(job, rulebook);
    const open = refusals(made);
    if (open.length === 0) return ['nothing is open: release it'];
    if (samePerson(command.foreman, command.customer)) return ['foreman and customer are two people: both sign'];
    const lines = safetyLines(made).map((line) => line.text);
    const unread = lines.filter((line) => !command.lines.includes(line));
    const stale = command.lines.filter((line) => !lines.includes(line));
    const faults = [
      ...unread.map((line) => `the customer has not read: ${line}`),
      ...stale.map((line) => `the customer read what is not so: ${line}`),
    ];
    return faults.length > 0
      ? faults
      : { open: [...new Set(open.map((refusal) => refusal.item).filter((item) => item !== ''))] };
  },
  reopened: () => ({}),
};

function samePerson(a: string, b: string): boolean {
  const plain = (name: string) => name.trim().toLowerCase().replace(/\s+/g, ' ');
  return plain(a) === plain(b);
}
