import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Facts, KnownTrait } from './facts.ts';
import type { Resolution } from './resolve.ts';
import type { KeyedLine } from './work.ts';

/** Answers to try for a question: the rulebook's values, or those that the rules at hand tell apart. */
export function choicesOf(resolution: Resolution, question: string): string[] {
  const { rulebook, known } = resolution;
  if (/^(did|done|holds):/.test(question)) return ['yes', 'no'];
  if (question.startsWith('at:')) return [...positionsOf(resolution, question)];
  const possible = known.possible(question);
  if (possible && possible.length > 1) return possible.map(String);
  const finite = rulebook.domains.get(question)?.kind === 'values';
  return known.cellsOf(question, finite ? [] : conditionsNaming(resolution, question)).map(String);
}

function conditionsNaming({ rulebook, verdicts }: Resolution, variable: string) {
  const followUps = [...verdicts.values()].map((v) => v.followUp);
  const all = followUps.flatMap((f) => [
    f.fits,
    ...f.triggers.flatMap((t) => t.applies),
    ...f.ways.flatMap((w) => w.applies),
    ...f.needs.flatMap((n) => n.applies),
  ]);
  const implied = [...rulebook.parts.values()].flatMap((p) => p.implies.flatMap((i) => i.applies));
  return [...new Set([...all, ...implied])].filter((c) => c.variables.includes(variable));
}

export function positionsOf(resolution: Resolution, question: string): readonly string[] {
  const line = lineAsked(resolution, question);
  return (line && resolution.rulebook.parts.get(line.part)?.text.at) || [];
}

export function lineAsked(resolution: Resolution, question: string): KeyedLine | undefined {
  return resolution.lines.find((line) => `at:${line.key}` === question);
}

/** The same facts with one more answer, or a corrected one. */
export function answerWith(facts: Facts, rulebook: Rulebook, question: string, value: string): Facts {
  if (/^(did|done|holds|at|wait):/.test(question))
    return { ...facts, answers: new Map([...facts.answers, [question, value]]) };
  const number = rulebook.domains.get(question)?.kind === 'number';
  const answer: KnownTrait = { values: [number ? Number(value) : value], by: 'looked' };
  return { ...facts, car: new Map([...facts.car, [question, answer]]) };
}

export function answered(facts: Facts, question: string): boolean {
  if (facts.answers.has(question)) return true;
  const answer = facts.car.get(question);
  // Several values still possible is a narrowed question, not an answered one.
  return answer !== undefined && (answer.values === undefined || answer.values.length === 1);
}
