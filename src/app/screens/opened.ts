import '../../../components/step/open-step.ts';
import './working.ts';
import { html, nothing, type TemplateResult } from 'lit';
import type { Neighbour } from '../../../components/step/open-step.ts';
import type { Step } from '../../checklist.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { itemSays } from '../item-says.ts';
import { itemOf, type Planned, stageOf } from '../plan.ts';
import { type Leaf, linkTo, linkToRules } from '../routes.ts';

/** Whose hand it is, and whether the server is in its reach. */
export interface Hand {
  readonly server: boolean;
  readonly foreman: boolean;
  /** Name of whoever is signed in. */
  readonly person: string;
}

/** The step under the hand, drawn in full; nothing if it is no longer on the sheet. */
export function opened(
  id: string,
  planned: Planned,
  rulebook: Rulebook,
  acts: TemplateResult | typeof nothing = nothing,
  hand: Hand = { server: false, foreman: false, person: '' },
): TemplateResult | typeof nothing {
  const { list, facts, numbers, job } = planned;
  const step = list?.steps.find((one) => one.id === id);
  const followUp = step && rulebook.followUps.get(step.followUp);
  if (!list || !facts || !step || !followUp) return nothing;
  const neighbour = (other: string, because: string) => neighbourOf(other, because, planned);
  const question = (id: string) => ({
    text: list.questions.find((one) => one.id === id)?.text ?? id,
    href: linkTo(job.ro, 'car'),
  });
  const holdsUp = list.steps.flatMap((one) =>
    one.waits.filter((wait) => wait.step === id && !wait.perhaps).map(() => one.id),
  );
  return html`<lb-open-step
    .step=${step}
    .followUp=${followUp}
    .rulebook=${rulebook}
    .car=${{ known: facts.car, domains: rulebook.domains }}
    .number=${numbers.get(id) ?? 0}
    .waitsFor=${waits(step).flatMap(({ id: other, because }) => neighbour(other, because))}
    .waitRead=${waitRead(facts.answers.get(`wait:${step.followUp}`))}
    .wayOpen=${step.wayOpen.map(question)}
    .placeOpen=${(step.orderWaitsFor ?? []).map(question)}
    .holdsUp=${[...new Set(holdsUp)].flatMap((other) => neighbour(other, ''))}
    .stage=${stageOf(planned, id)}
    .since=${itemSays(itemOf(planned, id), numbers) ?? ''}
    .worked=${itemOf(planned, id) !== undefined}
    .book=${linkToRules(job.ro, 'follow-up', followUp.id)}
  ><lb-working slot="values" .planned=${planned} .rulebook=${rulebook} .step=${id} .server=${hand.server} .foreman=${hand.foreman}></lb-working>${noteOf(id, planned, hand)}${acts}</lb-open-step>`;
}

/** Only of what is on record: a draft has nobody who said anything. */
function noteOf(id: string, { sight }: Planned, { person }: Hand): TemplateResult | typeof nothing {
  if (!sight?.items.some((item) => item.id === id)) return nothing;
  void import('../../../components/acts/item-note.ts').catch(() => undefined);
  return html`<lb-item-note slot="acts" .job=${sight.job} .step=${id} .person=${person}></lb-item-note>`;
}

function neighbourOf(id: string, because: string, planned: Planned): Neighbour[] {
  const { list, numbers, job } = planned;
  const found = list?.steps.find((one) => one.id === id);
  if (!found) return [];
  const { title, safety } = found;
  const stage = stageOf(planned, id);
  return [{ number: numbers.get(id) ?? 0, title, safety, stage, href: linkTo(job.ro, leafOf(found), id), because }];
}

/** The leaf on which a step stands. */
export function leafOf({ phase }: Step): Leaf {
  return phase === 'before' ? 'before' : 'route';
}

function waitRead(answer: unknown): number | undefined {
  return typeof answer === 'number' ? answer : undefined;
}

/** Each forerunner once, with all its reasons. */
function waits(step: Step): { id: string; because: string }[] {
  const reasons = new Map<string, string[]>();
  for (const wait of step.waits) {
    if (wait.perhaps) continue;
    const lag = [
      wait.within ? `start within ${wait.within}` : '',
      wait.later ? `holds only after ${wait.later}` : '',
    ].filter(Boolean);
    const text = [wait.because, ...lag].join(', ');
    reasons.set(wait.step, [...new Set([...(reasons.get(wait.step) ?? []), text])]);
  }
  return [...reasons].map(([id, texts]) => ({ id, because: texts.join('; ') }));
}
