import { html, nothing, type TemplateResult } from 'lit';
import { choice } from '../../../components/keys/choice.ts';
import { capital, placeText, sentence } from '../../../components/sheet/time.ts';
import { didText } from '../../../components/work-line/line-maker.ts';
import type { Checklist } from '../../checklist.ts';
import type { JobFile } from '../../resolve/facts.ts';
import { printFault } from '../../rulebook/fault.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { answer, answerOf } from '../job.ts';
import type { Planned } from '../plan.ts';

type Implied = Checklist['implied'][number];

const ANSWERS = [
  { value: 'yes', text: 'Yes, it was' },
  { value: 'no', text: 'No' },
  { value: '', text: "Can't tell" },
];

/** Work that follows from the lines; what only perhaps follows is asked. */
export function follows(
  { job, list, faults }: Planned,
  rulebook: Rulebook,
  change: (job: JobFile) => void,
): TemplateResult | typeof nothing {
  if (faults.length > 0)
    return html`<h2>Not understood</h2>${faults.map((fault) => html`<p class="chain">${sentence(printFault(fault))}</p>`)}`;
  const asked = questionsAsked(job);
  const implied = list?.implied ?? [];
  if (implied.length === 0 && asked.length === 0) return nothing;
  const seen = new Set(implied.map(({ question }) => question));
  return html`<h2>Follows from these</h2>
    ${implied.map((work) => (work.question ? maybe(work, job, rulebook, change) : sure(work, rulebook)))}
    ${asked.filter((question) => !seen.has(question)).map((question) => settled(question, job, rulebook, change))}`;
}

function sure(work: Implied, rulebook: Rulebook): TemplateResult {
  return html`<p class="chain ${work.maybe ? 'maybe' : ''}"><b>${work.maybe ? 'On some cars: ' : ''}${name(work, rulebook)}.</b> ${sentence(work.because)} ${chain(work)}</p>`;
}

function maybe(work: Implied, job: JobFile, rulebook: Rulebook, change: (job: JobFile) => void): TemplateResult {
  const question = work.question as string;
  return html`<div class="chain maybe"><b>Perhaps: ${name(work, rulebook)}.</b> ${sentence(work.because)} ${chain(work)} Was it?${keys(question, job, change)}</div>`;
}

/** A "perhaps" that was answered stays, so that it can be corrected. */
function settled(question: string, job: JobFile, rulebook: Rulebook, change: (job: JobFile) => void): TemplateResult {
  const [part = '', did = ''] = question.slice('did:'.length).split('/');
  return html`<div class="chain"><b>${name({ part, did }, rulebook)}?</b>${keys(question, job, change)}</div>`;
}

function keys(question: string, job: JobFile, change: (job: JobFile) => void): TemplateResult {
  const given = answerOf(job, question);
  const picked = given === undefined ? [] : [given ?? ''];
  return choice('Was it done?', ANSWERS, picked, (value) =>
    change(answer(job, question, picked.includes(value) ? undefined : value || null)),
  );
}

function name({ part, did, at }: Pick<Implied, 'part' | 'did' | 'at'>, rulebook: Rulebook): string {
  const title = rulebook.parts.get(part)?.text.title ?? placeText(part);
  return [`${capital(title)} ${didText(did)}`, (at ?? []).map(placeText).join(' and ')].filter(Boolean).join(', ');
}

/** Where a chain of more than one link began. */
function chain({ chain: links }: Implied): string {
  const via = links.slice(1);
  return via.length > 1 ? `From: ${via.toReversed().join(', then ')}.` : '';
}

function questionsAsked(job: JobFile): string[] {
  return Object.keys(job.answers ?? {}).filter((question) => question.startsWith('did:'));
}
