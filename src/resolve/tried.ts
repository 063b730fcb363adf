import { answerWith, choicesOf } from './choices.ts';
import { order } from './order.ts';
import { after, type Found, type Resolution, resolve } from './resolve.ts';

/** What the answers to a question come to, tried one by one. */
export interface Tried {
  /** Some two answers differ in a verdict, its level, its way or what it still rests on. */
  readonly differs: boolean;
  /** Undecided follow-ups (ids) that some answer settles. */
  readonly settles: ReadonlySet<string>;
  /** For each answer, how many follow-ups it leaves undecided, and of those that can hurt someone. */
  readonly left: readonly Left[];
}

export interface Left {
  readonly undecided: number;
  readonly safety: number;
}

export function tryAnswers(resolution: Resolution, question: string, onOrder: boolean): Tried {
  const { facts, rulebook, verdicts } = resolution;
  const undecided = [...verdicts.values()].filter((v) => v.kind === 'undecided').map((v) => v.followUp.id);
  const settles = new Set<string>();
  const prints = new Set<string>();
  const left = choicesOf(resolution, question).map((value) => {
    const answered = answerWith(facts, rulebook, question, value);
    const found = after(answered, resolution, question);
    for (const id of undecided) if (found.entries.get(id)?.kind !== 'undecided') settles.add(id);
    prints.add(printOf(found) + (onOrder ? orderPrint(resolve(answered, rulebook)) : ''));
    return leftOf(found);
  });
  return { differs: prints.size > 1 || question.startsWith('done:'), settles, left };
}

/** All that shows on the list, and what it still rests on, as one text to compare. */
function printOf({ entries, ways }: Found): string {
  const shown = [...entries.values()].filter((entry) => entry.kind !== 'excluded');
  const lines = shown.map(({ followUp, kind, required, own, pulls }) => {
    const open = ways.get(followUp.id)?.open.map((way) => way.id) ?? [];
    const rests =
      kind === 'undecided'
        ? [...own.decides, ...[...pulls.values()].flatMap((p) => [p.by.id, p.sure, ...p.decides])]
        : [];
    return [followUp.id, kind, required, ...open, ...rests].join(' ');
  });
  return lines.sort().join('\n');
}

function orderPrint(resolution: Resolution): string {
  const { edges, waiting, blocks } = order(resolution);
  return JSON.stringify([edges.map((e) => [e.before, e.after]), [...waiting], blocks.map((block) => block.nodes)]);
}

function leftOf({ entries }: Found): Left {
  const undecided = [...entries.values()].filter((entry) => entry.kind === 'undecided');
  return { undecided: undecided.length, safety: undecided.filter((entry) => entry.followUp.safety).length };
}
