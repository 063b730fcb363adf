import { html, nothing, type TemplateResult } from 'lit';
import type { Saying } from '../../src/job/commands.ts';
import type { SeenItem } from '../../src/job/sight.ts';
import type { Mark, Rival } from '../../src/job/state.ts';
import type { ReadingValue } from '../../src/job/values.ts';
import { endingOf } from '../../src/job/two-answers.ts';
import { clock } from '../sheet/clock.ts';
import { capital, sentence } from '../sheet/time.ts';
import { valueText } from './reading-row.ts';
import { NOT_DONE } from './other-things.ts';

type Answer = Mark & Pick<Rival, 'word' | 'values' | 'why' | 'notDone'>;

/** Answers to one safety item, side by side, each with who and when: the foreman says which one stands. */
export function rivals(
  { id, record, asked }: SeenItem,
  foreman: boolean,
  now: number,
  say: (saying: Saying) => void,
): TemplateResult | typeof nothing {
  const first = endingOf(record);
  if (!record?.rivals || !first) return nothing;
  const { why, notDone, values } = record;
  const told = { ...(why ? { why } : {}), ...(notDone ? { notDone } : {}) };
  const answers: Answer[] = [{ ...first.mark, word: first.word, values, ...told }, ...record.rivals];
  const apart = answers.some(({ word }) => word !== first.word);
  const count = answers.length === 2 ? 'Two answers.' : `${answers.length} answers.`;
  return html`<section class="then"><p class="strong"><b>${count}</b> ${apart ? 'They were said without knowing of each other. ' : ''}${foreman ? 'Say which one stands; look at the car if in doubt.' : 'The foreman says which one stands.'}</p>
    <div class="answers">${answers.map((answer) => one(answer, asked, now, foreman ? () => say({ type: 'answer-chosen', step: id, event: answer.event }) : undefined))}</div>
    ${foreman ? html`<button type="button" class="key" @click=${() => say({ type: 'sent-back', step: id, because: 'two answers that contradict each other' })}>None of them: it is done again</button>` : nothing}</section>`;
}

function one(
  { by, at, word, values, why, notDone }: Answer,
  asked: SeenItem['asked'],
  now: number,
  choose: (() => void) | undefined,
): TemplateResult {
  const because = notDone ? [NOT_DONE[notDone.reason].toLowerCase(), notDone.note].filter(Boolean).join('; ') : why;
  const figures = word === 'not-done' ? new Map<string, ReadingValue>() : values;
  return html`<div class="answer" role="group" aria-label=${`Answer of ${by}`}>
    <p class="told">${by}, ${clock(at, now)}</p>
    <p><b>${ENDED[word]}</b> ${because ? html`<span class="told">${sentence(because)}</span>` : nothing}</p>
    ${asked.map(({ key, label, unit }) => {
      const value = figures.get(key);
      return value ? html`<p>${capital(label)}: <span class="told">${valueText(value, unit)}</span></p>` : nothing;
    })}
    ${choose ? html`<button type="button" class="key main" @click=${choose}>This one stands</button>` : nothing}
  </div>`;
}

const ENDED: Readonly<Record<Rival['word'], string>> = {
  took: 'It took.',
  'did-not-take': 'It did not take.',
  'not-done': 'Not done.',
};
