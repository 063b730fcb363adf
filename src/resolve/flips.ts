import type { Step, Undecided } from './step.ts';
import { words } from './words.ts';

/** A checklist, as far as flips are read from it. */
export interface List {
  readonly steps: readonly Step[];
  readonly undecided: readonly Undecided[];
}

/** One thing that an answer or a correction did to the list. */
export interface Flip {
  /**
   * added: it is needed now; dropped: it is not, nor perhaps; perhaps: it is open now; within, alone: it moved into
   * another step, or out of one; level, way, moved: still needed, but otherwise.
   */
  readonly kind: 'added' | 'dropped' | 'perhaps' | 'within' | 'alone' | 'level' | 'way' | 'moved';
  readonly followUp: string;
  readonly title: string;
  readonly safety: boolean;
  /** As told to the person who gave the answer; a sentence without its stop. */
  readonly text: string;
}

const KINDS: readonly Flip['kind'][] = ['added', 'dropped', 'perhaps', 'within', 'alone', 'level', 'way', 'moved'];

/** What an answer changed, safety items first; the same list twice gives none. */
export function flips(before: List, after: List): Flip[] {
  const [was, is] = [standings(before), standings(after)];
  const changed = [...new Set([...was.keys(), ...is.keys()])].flatMap((id) => flipsOf(id, was.get(id), is.get(id)));
  const all = [...changed, ...moved(before, after)];
  return all.sort(
    (a, b) =>
      Number(b.safety) - Number(a.safety) ||
      KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind) ||
      (a.followUp < b.followUp ? -1 : 1),
  );
}

/** Where a follow-up stands in a list; absent = it is not called for. */
type Standing =
  | { readonly as: 'step'; readonly title: string; readonly safety: boolean; readonly step: Step }
  | { readonly as: 'within'; readonly title: string; readonly safety: boolean; readonly by: Step }
  | { readonly as: 'perhaps'; readonly title: string; readonly safety: boolean; readonly item: Undecided };

function standings({ steps, undecided }: List): Map<string, Standing> {
  const found = new Map<string, Standing>();
  for (const item of undecided)
    found.set(item.followUp, { as: 'perhaps', title: item.title, safety: item.safety, item });
  for (const by of steps)
    for (const inner of by.covers)
      found.set(inner.followUp, { as: 'within', title: inner.title, safety: by.safety, by });
  // A repeat is the same follow-up once more.
  for (const step of steps)
    if (step.id === step.followUp)
      found.set(step.followUp, { as: 'step', title: step.title, safety: step.safety, step });
  return found;
}

function flipsOf(followUp: string, was: Standing | undefined, is: Standing | undefined): Flip[] {
  const { title } = (is ?? was) as Standing;
  const safety = (was?.safety ?? false) || (is?.safety ?? false);
  const flip = (kind: Flip['kind'], text: string): Flip[] => [
    { kind, followUp, title, safety, text: `${title} ${text}` },
  ];
  if (!is) return flip('dropped', was?.as === 'perhaps' ? 'is not needed; it was open' : 'is no longer needed');
  if (is.as === 'perhaps')
    return was?.as === 'perhaps'
      ? levelFlip(was.item, is.item, flip)
      : flip('perhaps', was ? 'is open again' : 'may be needed now');
  if (!was || was.as === 'perhaps') return flip('added', `is needed now${because(is)}`);
  if (is.as === 'within')
    return was.as === 'within' && was.by.id === is.by.id ? [] : flip('within', `is done within ${is.by.title}`);
  if (was.as === 'within') return flip('alone', `is no longer done within ${was.by.title}, but as a step`);
  return [...levelFlip(was.step, is.step, flip), ...wayFlip(was.step, is.step, flip)];
}

function because(is: Exclude<Standing, { as: 'perhaps' }>): string {
  if (is.as === 'within') return `, within ${is.by.title}`;
  return is.step.because[0] === undefined ? '' : `: ${is.step.because[0]}`;
}

type MakeFlip = (kind: Flip['kind'], text: string) => Flip[];

function levelFlip(was: { readonly level: string }, is: { readonly level: string }, flip: MakeFlip): Flip[] {
  return was.level === is.level ? [] : flip('level', `is ${is.level} now, no longer ${was.level}`);
}

function wayFlip(was: Step, is: Step, flip: MakeFlip): Flip[] {
  if (was.way !== is.way) return flip('way', `is done another way now: ${words(is.way)}, not ${words(was.way)}`);
  if (was.wayOpen.length > 0 && is.wayOpen.length === 0)
    return flip('way', `is sure to be done this way: ${words(is.way)}`);
  return was.wayOpen.length === 0 && is.wayOpen.length > 0 ? flip('way', 'may come to be done another way') : [];
}

/** Of the steps on both lists, the fewest that have to be taken out for the rest to stand in the same order. */
function moved(before: List, after: List): Flip[] {
  const places = new Map(before.steps.map((step, i) => [step.id, i]));
  const both = after.steps.filter((step) => places.has(step.id));
  const kept = longestRise(both.map((step) => places.get(step.id) as number));
  return both.flatMap((step, i) => {
    if (kept.has(i)) return [];
    const ahead = both[i - 1];
    const text = ahead?.phase === step.phase ? `comes behind ${ahead.title} now` : 'comes first now';
    return [
      {
        kind: 'moved' as const,
        followUp: step.followUp,
        title: step.title,
        safety: step.safety,
        text: `${step.title} ${text}`,
      },
    ];
  });
}

/** Places of a longest rising run of numbers, not necessarily side by side; the earliest such run. */
function longestRise(numbers: readonly number[]): Set<number> {
  const length = numbers.map(() => 1);
  const from = numbers.map(() => -1);
  numbers.forEach((number, i) => {
    for (let j = 0; j < i; j++) {
      if ((numbers[j] as number) < number && (length[j] as number) + 1 > (length[i] as number))
        [length[i], from[i]] = [(length[j] as number) + 1, j];
    }
  });
  const kept = new Set<number>();
  for (let at = length.indexOf(Math.max(...length)); at >= 0; at = from[at] as number) kept.add(at);
  return kept;
}
