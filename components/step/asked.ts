import { html, type TemplateResult } from 'lit';
import type { Step } from '../../src/checklist.ts';
import { choice } from '../keys/choice.ts';
import { Answered } from '../question/answered.ts';
import { capital } from '../sheet/time.ts';

type Confirm = Step['confirms'][number];

const ANSWERS = [
  { value: 'yes', text: 'Yes' },
  { value: 'no', text: 'No' },
  { value: '', text: "Can't tell" },
];

/** A state that nobody on this job has set: it is asked before the step starts. */
export function confirm({ question, text }: Confirm, from: EventTarget): TemplateResult {
  const tell = (value: string) => from.dispatchEvent(new Answered(question, value || null));
  return html`<div class="asked"><p>${capital(text)}</p>${choice(text, ANSWERS, [], tell)}</div>`;
}

/** The parts are back on: of a step that belongs to the time when they were off it is asked whether it was done. */
export function wasDone(followUp: string, { asked }: Step, from: EventTarget): TemplateResult {
  const given = asked === 'open' || asked === undefined ? [] : [asked === 'cannot-tell' ? '' : asked];
  const text = 'Was it done while the parts were off?';
  const tell = (value: string) =>
    from.dispatchEvent(new Answered(`done:${followUp}`, given.includes(value) ? undefined : value || null));
  return html`<div class="asked"><p>${text}</p>${choice(text, ANSWERS, given, tell)}</div>`;
}

/** Minutes that are read off something in the hand, such as a data sheet; what was read can be put right. */
export function waitAsked(
  ask: string,
  question: string,
  minutes: number | undefined,
  from: EventTarget,
): TemplateResult {
  const tell = (event: Event) => {
    event.preventDefault();
    const field = (event.currentTarget as HTMLFormElement).elements.namedItem('minutes') as HTMLInputElement;
    const given = field.value.trim();
    if (given === '' || (/^\d+$/.test(given) && Number(given) <= 10_000))
      from.dispatchEvent(new Answered(question, given || undefined));
  };
  return html`<form class="asked" @submit=${tell}>
    <label>${capital(ask)}<input name="minutes" inputmode="numeric" pattern="[0-9]{1,4}" autocomplete="off" .value=${minutes?.toString() ?? ''} /></label>
    <button class="key">Write it down</button>
  </form>`;
}
