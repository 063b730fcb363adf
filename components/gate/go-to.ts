import type { Refusal, Settle } from '../../src/job/refusal.ts';
import type { SeenItem } from '../../src/job/sight.ts';

export type GoToLeaf = 'write-up' | 'car' | 'before' | 'route' | 'check';

/** Somebody wants to go where a thing is settled. */
export class GoTo extends Event {
  static readonly type = 'lb-go-to';
  constructor(
    readonly leaf: GoToLeaf,
    /** A step on the route or before the work, a question of "what has this car?", a line of the final check or LAMPS. */
    readonly step: string | undefined,
  ) {
    super(GoTo.type, { bubbles: true, composed: true, cancelable: true });
  }
}

/** Where the final check asks after the warning lamps. */
export const LAMPS = 'lamps';

export interface Target {
  readonly leaf: GoToLeaf;
  readonly step?: string;
  readonly text: string;
}

/** Where what a refusal wants can be done; what is done beside the refusal itself is not among it. */
export function targets({ settle }: Refusal, items: readonly SeenItem[]): Target[] {
  const all = settle.flatMap((one) => targetOf(one, items) ?? []);
  return all.filter(({ leaf, step }, i) => all.findIndex((other) => other.leaf === leaf && other.step === step) === i);
}

function targetOf(settle: Settle, items: readonly SeenItem[]): Target | undefined {
  switch (settle.type) {
    case 'opened':
    case 'line-added':
    case 'scanned':
      return { leaf: 'write-up', text: 'Go to the write-up' };
    case 'work-done':
      return { leaf: 'route', text: 'Go to the route' };
    case 'answered':
      return answerAt(settle.question, items);
    case 'checked':
      return { leaf: 'check', step: settle.item, text: 'Check it' };
    case 'lamps':
      return { leaf: 'check', step: LAMPS, text: 'Write the lamps down' };
    case 'took':
    case 'closed':
    case 'returned':
    case 'not-done':
    case 'started':
    case 'noted':
    case 'answer-chosen':
      return toStep(settle.step);
    default:
      return undefined;
  }
}

function answerAt(question: string, items: readonly SeenItem[]): Target {
  const was = /^done:(.+)$/.exec(question)?.[1];
  if (was) return { leaf: 'before', step: was, text: 'Say whether it was done' };
  const asks = items.find(
    ({ followUp, confirms }) => question === `wait:${followUp}` || confirms.some((one) => one.question === question),
  );
  return asks ? toStep(asks.id) : { leaf: 'car', step: question, text: 'Answer it' };
}

function toStep(step: string): Target {
  return { leaf: 'route', step, text: 'Go to the step' };
}
