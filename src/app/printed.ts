import '../../components/drive/route-card.ts';
import '../../components/paper/printed-sheet.ts';
import { html, type TemplateResult } from 'lit';
import { didText } from '../../components/work-line/line-maker.ts';
import { capital, placeText } from '../../components/sheet/time.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { type Planned, stepsOf } from './plan.ts';
import { cardLegs, stops } from './stops.ts';
import { carName } from './vehicle.ts';

/** The sheet as it goes on paper; seen nowhere else. */
export function printed(planned: Planned, rulebook: Rulebook, today: Date): TemplateResult {
  const { job, list, facts, numbers } = planned;
  return html`<lb-printed-sheet
    .ro=${job.ro}
    .vin=${job.vehicle?.vin ?? ''}
    .car=${carName(job, facts, rulebook)}
    .date=${dayAndTime(today)}
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
    .date=${dayAndTime(new Date())}
    .rules=${rulebook.version}
    .legs=${cardLegs(drive, list.steps, numbers)}
    .minutes=${drive.minutes}
    .saved=${drive.saved}
    .first=${forerunners.map(({ id, title }) => `${numbers.get(id)} ${title}`)}
  ></lb-route-card>`;
}

export function dayAndTime(now: Date): string {
  return now.toLocaleString('en-GB', {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
  });
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
