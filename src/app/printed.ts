import '../../components/drive/route-card.ts';
import '../../components/paper/printed-sheet.ts';
import { html, type TemplateResult } from 'lit';
import { momentText } from '../../components/papers/moment.ts';
import type { OnPaper } from '../../components/paper/printed-sheet.ts';
import { didText } from '../../components/work-line/line-maker.ts';
import { capital, placeText } from '../../components/sheet/time.ts';
import { handOver } from '../job/hand-over.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { itemSays } from './item-says.ts';
import { type Planned, stepsOf } from './plan.ts';
import { cardLegs, stops } from './stops.ts';
import { carName } from './vehicle.ts';

/** The sheet as it goes on paper, with what has become of each step; seen nowhere else. */
export function printed(planned: Planned, rulebook: Rulebook, now: number): TemplateResult {
  const { job, list, facts, numbers, record } = planned;
  return html`<lb-printed-sheet
    .ro=${job.ro}
    .vin=${job.vehicle?.vin ?? ''}
    .car=${carName(job, facts, rulebook)}
    .date=${momentText(now)}
    .hash=${record?.hash ?? ''}
    .became=${became(planned, rulebook)}
    .work=${job.work.map((line) => workText(line, rulebook))}
    .beforeWork=${stepsOf(planned, 'before')}
    .stops=${stops(stepsOf(planned, 'later'), list?.drives ?? [], rulebook).map((stop) => ({ ...stop, legs: stop.drive ? cardLegs(stop.drive.drive, stop.steps, numbers) : [] }))}
    .undecided=${(list?.undecided ?? []).map(({ title, safety, decides }) => ({ title, safety, hangsOn: decides.map((id) => list?.questions.find((one) => one.id === id)?.text ?? id) }))}
    .numbers=${numbers}
    .total=${list?.time.total ?? 0}
    .rulebook=${rulebook}
    .known=${facts?.car ?? new Map()}
  ></lb-printed-sheet>`;
}

function became({ sight, numbers }: Planned, rulebook: Rulebook): ReadonlyMap<string, OnPaper> {
  if (!sight || sight.job.status === 'unopened') return new Map();
  const items = new Map(sight.items.map((item) => [item.id, item]));
  return new Map(
    handOver(sight, rulebook).rows.map(({ id, stage, found, doneBy, checkedBy, at }) => {
      const says = itemSays(items.get(id), numbers) ?? '';
      return [id, { stage, says: stage === 'open' && !items.get(id)?.again ? '' : says, found, doneBy, checkedBy, at }];
    }),
  );
}

/** One drive of a job, counted from 1, on screen and on paper. */
export function routeCard(planned: Planned, rulebook: Rulebook, number: number): TemplateResult {
  const { job, list, facts, numbers, pending } = planned;
  const drive = list?.drives[number - 1];
  if (!drive)
    return html`<p class="notice" role="status">${pending ? 'Being planned.' : 'There is no such drive on the sheet any more.'}</p>`;
  const on = new Set(drive.steps);
  const first = new Set(list.steps.filter(({ id }) => on.has(id)).flatMap(({ waitsFor }) => waitsFor));
  const forerunners = list.steps.filter(({ id, asked }) => first.has(id) && !on.has(id) && asked !== 'yes');
  return html`<lb-route-card
    .ro=${job.ro}
    .car=${carName(job, facts, rulebook)}
    .date=${momentText(Date.now())}
    .rules=${rulebook.version}
    .legs=${cardLegs(drive, list.steps, numbers)}
    .minutes=${drive.minutes}
    .saved=${drive.saved}
    .first=${forerunners.map(({ id, title }) => `${numbers.get(id)} ${title}`)}
  ></lb-route-card>`;
}

function workText({ part, did, at, by }: JobFile['work'][number], rulebook: Rulebook): string {
  const title = rulebook.parts.get(part)?.text.title ?? placeText(part);
  return [
    `${capital(title)} ${didText(did)}`,
    [at ?? []].flat().map(placeText).join(' and '),
    by && by !== 'us' ? `by ${by}` : '',
  ]
    .filter(Boolean)
    .join(', ');
}
