import { sentence } from '../../components/sheet/time.ts';
import type { SeenItem } from '../job/sight.ts';
import type { Mark } from '../job/state.ts';
import { answersText } from '../job/two-answers.ts';

/** What a step's row says once something has become of it; undefined while it is only planned. */
export function itemSays(item: SeenItem | undefined, numbers: ReadonlyMap<string, number>): string | undefined {
  const record = item?.record;
  if (!item) return undefined;
  if (item.again) return sentence(`To be done again: ${item.again}`);
  const answers = answersText(record);
  if (answers) return sentence(answers.charAt(0).toUpperCase() + answers.slice(1));
  if (item.was) return WAS[item.was];
  if (!record) return undefined;
  const signed = `${record.by}, ${clock(record)}`;
  switch (item.stage) {
    case 'running':
      return `Since ${clock(record.startedAt ?? record)}, ${record.startedAt?.by ?? record.by}.`;
    case 'took':
      return `${record.took ? `${record.took.by}, ${clock(record.took)}` : signed}.${item.closing?.open ? ' Still to be closed.' : ''}`;
    case 'did-not-take':
      return sentence([`Try ${record.tries}`, record.why, signed].filter(Boolean).join(', '));
    case 'stuck':
      return sentence(record.why ?? signed);
    case 'sent-out':
      return `At ${record.sentOut?.firm} since ${record.sentOut?.on}.`;
    case 'waiting':
      return `For ${record.waiting?.part}, promised ${record.waiting?.promised}.`;
    case 'not-done':
      return sentence(
        [REASONS[record.notDone?.reason ?? 'declined'], record.notDone?.note, signed].filter(Boolean).join(', '),
      );
    default:
      return waits(item, numbers);
  }
}

function waits(item: SeenItem, numbers: ReadonlyMap<string, number>): string | undefined {
  const first = [...new Set(item.waitsFor.map(({ step }) => numbers.get(step)).filter((n) => n !== undefined))];
  return first.length > 0 ? `Waits for ${first.sort((a, b) => a - b).join(', ')}.` : undefined;
}

const WAS = {
  yes: 'Done before the work.',
  no: 'Was not done before the work.',
  open: 'Nobody has said whether it was done before the work.',
  'cannot-tell': 'Nobody can tell whether it was done before the work.',
} as const;

const REASONS = {
  declined: 'Declined',
  'no-tool': 'No tool for it',
  'part-missing': 'A part is missing',
  'does-not-fit': 'Does not fit this car',
} as const;

/** The time of day that somebody's words bear. */
function clock({ at }: Pick<Mark, 'at'>): string {
  return new Date(at).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}
