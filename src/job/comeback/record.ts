import { lineText } from '../../resolve/words.ts';
import type { Verdict } from '../../resolve/result.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { Standings } from '../again.ts';
import type { Item } from '../item.ts';
import { plan } from '../plan.ts';
import { unproved } from '../proven.ts';
import { situationOf, type Situation } from '../situation.ts';
import type { Job, Mark } from '../state.ts';
import type { ReadingValue } from '../values.ts';
import { uncalled } from './bare.ts';
import { calledFor, type CauseKind, endsWithOwner, type Evidence, oddsOf, type Standing } from './standing.ts';

/** How much likelier each kind makes it than a follow-up of which nothing is known. */
const ODDS: Record<CauseKind | 'took' | 'took-unproved', number> = {
  'never-done': 4,
  'did-not-take': 4,
  'closing-missed': 3,
  'out-of-order': 3,
  'undone-later': 3,
  'trait-wrong': 1,
  expected: 1,
  elsewhere: 1,
  took: 0.12,
  'took-unproved': 0.4,
};

interface Found {
  readonly kind: CauseKind;
  readonly odds: number;
  readonly evidence: readonly Evidence[];
}

/** What the record says of each follow-up that the job called for, may have called for, or would have. */
export function recordStandings(job: Job, rulebook: Rulebook): { standings: Standing[]; situation: Situation } {
  const situation = situationOf(job, rulebook);
  const { resolution } = situation;
  const made = plan(job, rulebook);
  const undone = new Standings(situation);
  // Of several times, the one that something is wrong with speaks.
  const items = new Map<string, Item>();
  for (const item of made.items) if (!isDoubtful(items.get(item.followUp.id))) items.set(item.followUp.id, item);
  const standings = [...resolution.verdicts.values()].flatMap((verdict): Standing[] => {
    if (verdict.kind === 'excluded') return [];
    const by = verdict.coveredBy && !items.has(verdict.followUp.id) ? verdict.coveredBy.id : verdict.followUp.id;
    const item = items.get(by);
    if (!item) return [];
    const found = fromRecord(item, verdict, situation, undone);
    const called = calledFor(verdict, (line) => lineText(rulebook, line));
    const within = by === verdict.followUp.id ? [] : [{ text: `it is done within ${item.title}` }];
    return [
      {
        followUp: verdict.followUp,
        called: true,
        kind: found.kind,
        odds: oddsOf(verdict) * found.odds,
        evidence: () => [...found.evidence, ...within, called],
      },
    ];
  });
  return { standings: [...standings, ...uncalled(resolution)], situation };
}

function isDoubtful(item: Item | undefined): boolean {
  return item !== undefined && (item.stage !== 'took' || item.again !== undefined || item.closing?.open === true);
}

function fromRecord(item: Item, verdict: Verdict, situation: Situation, undone: Standings): Found {
  const { record, title } = item;
  if (item.ruledOut || record?.notDone?.reason === 'does-not-fit') return ruledOut(item, situation.job);
  if (item.was) return asked(item, situation.job);
  const standing = undone.of(item.id);
  if (standing.undoneBy && record?.took) {
    const kind = KIND_OF[standing.undoneBy];
    return found(kind, [sentence(`${title} took`, record.took), { text: `${standing.again}` }]);
  }
  if (item.stage === 'took' && record?.took) return took(item, record.took, situation);
  if (item.stage === 'did-not-take' || item.stage === 'stuck')
    return found('did-not-take', [sentence(`${title} did not take${record?.why ? `: ${record.why}` : ''}`, record)]);
  if (item.stage === 'not-done')
    return found('never-done', [sentence(`${title} is down as not done: ${reasonOf(item)}`, record)]);
  if (item.stage === 'sent-out')
    return found('never-done', [sentence(`${title} went out to another firm and never came back`, record)]);
  if (endsWithOwner(item.followUp, situation.resolution))
    return found('expected', [{ text: `${title} ends with the owner: the car does it by itself while it is used` }]);
  const open = verdict.kind === 'undecided' ? 0.6 : 1;
  const text = `${title} ${item.stage === 'waiting' ? 'waited for a part and was never done' : 'is on the list, and nothing on record says that it was done'}`;
  return { ...found('never-done', [record ? sentence(text, record) : { text }]), odds: ODDS['never-done'] * open };
}

const KIND_OF: Record<NonNullable<ReturnType<Standings['of']>['undoneBy']>, CauseKind> = {
  work: 'undone-later',
  lapse: 'undone-later',
  'must-not': 'undone-later',
  forerunner: 'out-of-order',
  code: 'did-not-take',
  'sent-back': 'did-not-take',
  way: 'trait-wrong',
};

function took(item: Item, mark: Mark, { job }: Situation): Found {
  const done = sentence(`${item.title} took`, mark);
  if (item.closing?.open)
    return found('closing-missed', [
      done,
      { text: `what ends it was never put down as done: ignition off or the wait behind it` },
    ]);
  const missing = unproved(item, item.record?.values ?? new Map(), job.units);
  const proofs = [...(item.record?.values ?? [])].filter(([key]) => key.startsWith('proof/'));
  if (missing.length > 0) return { ...found('did-not-take', [done, { text: missing[0]?.text ?? '' }]), odds: 2 };
  const shown =
    proofs.length > 0
      ? `with ${proofs.map(([key, value]) => `${key.split('/').at(-1)} ${valueText(value)}`).join(', ')}`
      : 'with no figure';
  return {
    kind: 'did-not-take',
    odds: proofs.length > 0 ? ODDS.took : ODDS['took-unproved'],
    evidence: [{ ...done, text: `${done.text.replace(/\.$/, '')}, ${shown}: it speaks against this` }],
  };
}

function valueText(value: ReadingValue): string {
  if (value.kind === 'number') return `${value.value}${value.unit ? ` ${value.unit}` : ''}`;
  if (value.kind === 'photo') return '(photo)';
  return value.kind === 'not-supported' ? '(tool does not support it)' : value.value;
}

function ruledOut(item: Item, job: Job): Found {
  const mark = job.ruledOut.get(item.id);
  return found('trait-wrong', [
    mark
      ? sentence(`${item.title} was settled as not on this car: ${mark.because}`, mark)
      : sentence(`${item.title} was said not to fit this car`, item.record),
  ]);
}

/** A step from before the work, about which was asked whether it was done. */
function asked(item: Item, job: Job): Found {
  const mark = job.answers.get(`done:${item.id}`) ?? item.record;
  if (item.was === 'yes')
    return { ...found('did-not-take', [sentence(`${item.title} was done before the work`, mark)]), odds: ODDS.took };
  if (item.was === 'no') return found('never-done', [sentence(`${item.title} was not done before the work`, mark)]);
  return {
    ...found('never-done', [{ text: `nobody said whether ${item.title} was done before the work` }]),
    odds: 1.5,
  };
}

function reasonOf({ record }: Item): string {
  const { reason, note } = record?.notDone ?? {};
  return `${(reason ?? '').replaceAll('-', ' ')}${note ? `, ${note}` : ''}`;
}

function found(kind: CauseKind, evidence: readonly Evidence[]): Found {
  return { kind, odds: ODDS[kind], evidence };
}

function sentence(text: string, mark: Mark | undefined): Evidence {
  return mark ? { text, event: mark.event, by: mark.by, at: mark.at } : { text };
}
