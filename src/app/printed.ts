import '../../components/paper/printed-sheet.ts';
import { html, type TemplateResult } from 'lit';
import { didText } from '../../components/work-line/line-maker.ts';
import { capital, placeText } from '../../components/sheet/time.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { type Planned, stepsOf } from './plan.ts';
import { stops } from './stops.ts';
import { carName } from './vehicle.ts';

/** The sheet as it goes on paper; seen nowhere else. */
export function printed(planned: Planned, rulebook: Rulebook, today: Date): TemplateResult {
  const { job, list, facts, numbers } = planned;
  return html`<lb-printed-sheet
    .ro=${job.ro}
    .vin=${job.vehicle?.vin ?? ''}
    .car=${carName(job, facts, rulebook)}
    .date=${today.toLocaleString('en-GB', { day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit' })}
    .work=${job.work.map((line) => workText(line, rulebook))}
    .beforeWork=${stepsOf(planned, 'before')}
    .stops=${stops(stepsOf(planned, 'later'), rulebook)}
    .undecided=${(list?.undecided ?? []).map(({ title, safety, decides }) => ({ title, safety, hangsOn: decides.map((id) => list?.questions.find((one) => one.id === id)?.text ?? id) }))}
    .numbers=${numbers}
    .total=${list?.time.total ?? 0}
    .rulebook=${rulebook}
    .known=${facts?.car ?? new Map()}
  ></lb-printed-sheet>`;
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
