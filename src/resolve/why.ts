import { NEVER } from '../rulebook/condition.ts';
import { callsOfCodes } from '../rulebook/index-calls.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Facts } from './facts.ts';
import { conditionsOf } from './space.ts';
import { conditionText, lineText, some, traitTitle, triggerTexts, valueText } from './words.ts';
import { answerWith, choicesOf, relevantQuestions } from './questions.ts';
import { type Resolution, resolve } from './resolve.ts';
import type { Kind } from './result.ts';
import { hitsOf } from './work.ts';

/** The first fact that keeps a follow-up off the list, as a sentence. */
export function whyNot(resolution: Resolution, followUp: FollowUp): string {
  const { rulebook, known, facts } = resolution;
  const hits = [...resolution.lines, ...[...resolution.stepLines.values()].flat()]
    .flatMap((line) => hitsOf(line, rulebook))
    .filter((hit) => hit.call.followUp === followUp);
  const called = hits.filter((hit) => hit.call.trigger.level !== 'not-needed');
  const byCode = [...callsOfCodes(facts.codes, rulebook.callsByCode)].some((call) => call.followUp === followUp);
  if (known.fits(followUp) === NEVER) return onThisCar(resolution, followUp);
  if (called.length === 0 && !byCode)
    return `nothing on this job calls for it; it is called for by ${callers(resolution, followUp)}`;
  for (const hit of called) {
    const condition = conditionsOf(hit).find((c) => known.range(c) === NEVER);
    if (condition && hit.line)
      return `${lineText(rulebook, hit.line)} would call for it only where ${conditionText(rulebook, condition.text)} (${usedTraits(resolution, condition.variables)})`;
  }
  const spared = hits.find((hit) => hit.call.trigger.level === 'not-needed' && known.all(conditionsOf(hit)) !== NEVER);
  if (spared?.line)
    return `${lineText(rulebook, spared.line)} does not call for it here: ${spared.call.trigger.because}`;
  return `nothing on this job calls for it; it is called for by ${callers(resolution, followUp)}`;
}

/** One trait tells all by itself; of several it must be said how they have to stand together. */
function onThisCar(resolution: Resolution, { fits }: FollowUp): string {
  const here = `on this car ${usedTraits(resolution, fits.variables)}`;
  return fits.variables.length > 1
    ? `${here}; it is only for cars where ${conditionText(resolution.rulebook, fits.text)}`
    : here;
}

function callers({ rulebook }: Resolution, followUp: FollowUp): string {
  const triggers = followUp.triggers.filter((t) => t.index >= 0 && t.level !== 'not-needed');
  const texts = new Set(triggers.flatMap((t) => triggerTexts(rulebook, t)));
  return texts.size > 0 ? some([...texts], 6) : 'other steps only';
}

function usedTraits({ rulebook, known }: Resolution, names: readonly string[]): string {
  return names
    .map((name) => {
      const answer = known.car.get(name);
      return `${traitTitle(rulebook, name)}: ${answer?.values?.map((v) => valueText(rulebook, name, v)).join(' or ') ?? 'not known'}`;
    })
    .join('; ');
}

/** The smallest set of answers, given or corrected, after which a follow-up's verdict is another one. */
export interface WouldChange {
  readonly to: Kind;
  readonly answers: readonly { readonly question: string; readonly value: string }[];
}

const MOST_TRIES = 4000;

/**
 * Tries single answers, then pairs, then threes; for each verdict other than today's the first set found. `complete` is
 * false where the tries ran out before all threes were seen.
 */
export function whatWouldChange(
  facts: Facts,
  resolution: Resolution,
  followUp: FollowUp,
  most = 3,
): { changes: WouldChange[]; complete: boolean } {
  const today = resolution.verdicts.get(followUp.id)?.kind ?? 'excluded';
  const wanted = new Set<Kind>((['needed', 'excluded'] as const).filter((kind) => kind !== today));
  const options = relevantQuestions(resolution, followUp).flatMap((question) => {
    const now = facts.car.get(question)?.values;
    return choicesOf(resolution, question)
      .filter((value) => !(now?.length === 1 && String(now[0]) === value))
      .map((value) => ({ question, value }));
  });
  const changes: WouldChange[] = [];
  let tries = 0;
  const search = (picked: { question: string; value: string }[], from: number, size: number): void => {
    if (wanted.size === 0 || tries >= MOST_TRIES) return;
    if (picked.length === size) {
      tries++;
      const changed = picked.reduce(
        (f, { question, value }) => answerWith(f, resolution.rulebook, question, value),
        facts,
      );
      const kind = resolve(changed, resolution.rulebook).verdicts.get(followUp.id)?.kind ?? 'excluded';
      if (wanted.delete(kind)) changes.push({ to: kind, answers: [...picked] });
      return;
    }
    for (let i = from; i < options.length; i++) {
      const option = options[i] as { question: string; value: string };
      if (!picked.some((p) => p.question === option.question)) search([...picked, option], i + 1, size);
    }
  };
  for (let size = 1; size <= most; size++) search([], 0, size);
  return { changes, complete: tries < MOST_TRIES };
}
