import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import type { Facts, KnownTrait } from './facts.ts';
import { conditionsOf } from './judge.ts';
import type { Order } from './order.ts';
import { lineText, maker, traitTitle, words } from './print.ts';
import { kindsAfter, type Resolution } from './resolve.ts';
import type { Line, Question } from './result.ts';
import { type Hit, hitsOf, type KeyedLine } from './work.ts';

/**
 * The questions that can still change the list, best first: those on which a way or the order rests, then by how much
 * their answers settle (safety first), and the answered ones behind, so that they can be corrected.
 */
export function rankQuestions(resolution: Resolution, order: Order): Question[] {
  const open = new Map<string, { ways: Set<string>; verdicts: Set<string> }>();
  const note = (id: string) => {
    const had = open.get(id) ?? { ways: new Set<string>(), verdicts: new Set<string>() };
    open.set(id, had);
    return had;
  };
  for (const verdict of resolution.verdicts.values()) {
    if (verdict.kind === 'excluded') continue;
    const { id } = verdict.followUp;
    for (const name of verdict.decides) note(name).verdicts.add(id);
    for (const name of resolution.ways.get(id)?.decides ?? []) note(name).ways.add(id);
    if (verdict.asked && verdict.asked !== 'yes' && verdict.asked !== 'no') note(`done:${id}`).verdicts.add(id);
  }
  for (const [node, names] of order.waiting)
    for (const name of names) note(name).ways.add(node.split('#')[0] as string);
  const unanswered = [...open].filter(([id]) => !answered(resolution.facts, id));
  const ranked = unanswered.map(([id, about]) => {
    const settles = settledBy(resolution, id);
    const all = [...new Set([...about.ways, ...settles.union, ...about.verdicts])].sort();
    const safety = all.some((f) => resolution.rulebook.followUps.get(f)?.safety);
    return {
      question: describe(resolution, id, all, safety),
      weight: [about.ways.size > 0 ? 1 : 0, settles.safety, settles.mean, all.length],
    };
  });
  ranked.sort((a, b) => compare(b.weight, a.weight) || (a.question.id < b.question.id ? -1 : 1));
  return [...ranked.map((r) => r.question), ...answeredQuestions(resolution, new Set(unanswered.map(([id]) => id)))];
}

function compare(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at < 0 ? 0 : (a[at] as number) - (b[at] as number);
}

/** How many verdicts an answer settles, over the possible answers: all that some answer settles, and the mean. */
function settledBy(resolution: Resolution, question: string): { union: Set<string>; mean: number; safety: number } {
  const undecided = [...resolution.verdicts.values()].filter((v) => v.kind === 'undecided');
  const union = new Set<string>();
  let [total, safety] = [0, 0];
  const choices = choicesOf(resolution, question);
  for (const value of choices) {
    const after = kindsAfter(answerWith(resolution.facts, resolution.rulebook, question, value), resolution, question);
    for (const { followUp } of undecided) {
      if (after.get(followUp.id) === 'undecided') continue;
      union.add(followUp.id);
      total++;
      if (followUp.safety) safety++;
    }
  }
  const count = Math.max(1, choices.length);
  return { union, mean: total / count, safety: safety / count };
}

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

function positionsOf(resolution: Resolution, question: string): readonly string[] {
  const line = lineAsked(resolution, question);
  return (line && resolution.rulebook.parts.get(line.part)?.text.at) || [];
}

function lineAsked(resolution: Resolution, question: string): KeyedLine | undefined {
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

function answered(facts: Facts, question: string): boolean {
  if (facts.answers.has(question)) return true;
  const answer = facts.car.get(question);
  // Several values still possible is a narrowed question, not an answered one.
  return answer !== undefined && (answer.values === undefined || answer.values.length === 1);
}

function hitsByFollowUp({ rulebook, lines, stepLines }: Resolution): ReadonlyMap<FollowUp, readonly Hit[]> {
  const found = new Map<FollowUp, Hit[]>();
  for (const line of [...lines, ...[...stepLines.values()].flat()]) {
    for (const hit of hitsOf(line, rulebook)) {
      const had = found.get(hit.call.followUp);
      if (had) had.push(hit);
      else found.set(hit.call.followUp, [hit]);
    }
  }
  return found;
}

/** Everything that a follow-up's verdict can rest on by its own rules. */
export function relevantQuestions(
  resolution: Resolution,
  followUp: FollowUp,
  allHits = hitsByFollowUp(resolution),
): string[] {
  const { rulebook } = resolution;
  const hits = allHits.get(followUp) ?? [];
  const verdict = resolution.verdicts.get(followUp.id);
  const pullers = verdict?.causes.flatMap((c) => (c.kind === 'pull' ? [c.by] : [])) ?? [];
  const names = new Set<string>([
    ...followUp.fits.variables,
    ...hits.flatMap((hit) => [
      ...conditionsOf(hit).flatMap((c) => c.variables),
      ...(hit.line?.flags ?? []),
      ...(hit.where ? [hit.where.variable] : []),
    ]),
    ...(verdict?.decides ?? []),
    ...pullers.filter((p) => p !== followUp).flatMap((p) => p.fits.variables),
  ]);
  for (const leave of followUp.leaves)
    if (rulebook.states.get(leave.state)?.start === 'confirm') names.add(`holds:${leave.state}`);
  return [...names].filter((name) => !/^(step|way):/.test(name)).sort();
}

function answeredQuestions(resolution: Resolution, open: ReadonlySet<string>): Question[] {
  const { facts, verdicts } = resolution;
  const allHits = hitsByFollowUp(resolution);
  const relevant = [...verdicts.values()].map((v) => ({
    id: v.followUp.id,
    questions: new Set(relevantQuestions(resolution, v.followUp, allHits)),
  }));
  const ids = [...facts.car.keys(), ...[...facts.answers.keys()].filter((k) => !k.startsWith('wait:'))].filter(
    (id) => !open.has(id),
  );
  return ids.sort().map((id) => {
    const touched = relevant.filter((v) => v.questions.has(id)).map((v) => v.id);
    const car = facts.car.get(id);
    const value = car
      ? (car.values?.map(String).join(', ') ?? 'cannot-tell')
      : (facts.answers.get(id) ?? 'cannot-tell');
    return {
      ...describe(
        resolution,
        id,
        touched,
        touched.some((f) => resolution.rulebook.followUps.get(f)?.safety),
      ),
      answered: String(value),
    };
  });
}

function describe(resolution: Resolution, id: string, settles: readonly string[], safety: boolean): Question {
  const { rulebook } = resolution;
  const yesNo = [
    { value: 'yes', text: 'yes' },
    { value: 'no', text: 'no' },
  ];
  const [kind, rest] = id.includes(':') ? [id.slice(0, id.indexOf(':')), id.slice(id.indexOf(':') + 1)] : ['', id];
  if (kind === 'did') {
    const line = resolution.lines.find((l) => l.flags.includes(id)) ?? maybeLine(rest);
    const because = line.origin.kind === 'implied' ? ` (${line.origin.because})` : '';
    return {
      id,
      kind,
      text: `Did this come with it: ${lineText(rulebook, { ...line, by: 'us' })}?${because}`,
      answers: yesNo,
      settles,
      safety,
    };
  }
  if (kind === 'done') {
    const title = rulebook.followUps.get(rest)?.title ?? words(rest);
    return { id, kind, text: `Was it done before the work: ${title}?`, answers: yesNo, settles, safety };
  }
  if (kind === 'holds') {
    const state = rulebook.states.get(rest);
    return {
      id,
      kind,
      text: state?.question ?? `Does it hold: ${state?.title ?? words(rest)}?`,
      answers: yesNo,
      settles,
      safety,
    };
  }
  if (kind === 'at') {
    const line = lineAsked(resolution, id);
    const text = `Where was it: ${line ? lineText(rulebook, line) : words(rest)}?`;
    return {
      id,
      kind,
      text,
      answers: positionsOf(resolution, id).map((value) => ({ value, text: words(value) })),
      settles,
      safety,
    };
  }
  const row = rulebook.traits.get(id);
  if (!row)
    return {
      id,
      kind: 'car',
      text: CAR_QUESTIONS[id] ?? words(id),
      answers: carAnswers(resolution, id),
      settles,
      safety,
    };
  const answers = Object.entries(row.values ?? {}).map(([value, text]) => ({ value, text }));
  return {
    id,
    kind: 'trait',
    text: row.question || traitTitle(rulebook, id),
    howToTell: row['how-to-tell'],
    answers,
    settles,
    safety,
  };
}

const CAR_QUESTIONS: Record<string, string> = {
  maker: 'Who made the car?',
  model: 'Which model is it?',
  'model-year': 'Which model year is it?',
  market: 'For which market was it built?',
};

function carAnswers(resolution: Resolution, id: string): { value: string; text: string }[] {
  if (id === 'model-year') return [];
  return choicesOf(resolution, id)
    .filter((value) => !value.startsWith(' '))
    .map((value) => ({
      value,
      text: id === 'maker' ? (resolution.rulebook.makers.get(value) ?? maker(value)) : words(value),
    }));
}

function maybeLine(rest: string): Line {
  const [part = rest, did = 'refitted'] = rest.split('/');
  return { part, did: did as Line['did'], by: 'us', origin: { kind: 'order', index: -1 } };
}
