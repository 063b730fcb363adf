import type { FollowUp } from '../rulebook/rulebook.ts';
import { answered, choicesOf, lineAsked, positionsOf } from './choices.ts';
import { conditionsOf } from './space.ts';
import { likelyOf } from './likely.ts';
import type { Order } from './order.ts';
import { lineText, maker, traitTitle, words } from './words.ts';
import type { Resolution } from './resolve.ts';
import type { Line, Question } from './result.ts';
import { type Left, type Tried, tryAnswers } from './tried.ts';
import { type Hit, hitsOf } from './work.ts';

export { answerWith, choicesOf } from './choices.ts';

/**
 * The questions that can still change the list, best first, and the answered ones behind, so that they can be
 * corrected. One whose every answer comes to the same is not asked.
 */
export function rankQuestions(resolution: Resolution, order: Order): Question[] {
  const open = [...candidates(resolution, order)].filter(([id]) => !answered(resolution.facts, id));
  const tried = open.map(([id, about]) => ({ id, about, tried: tryAnswers(resolution, id, about.order.size > 0) }));
  const useful = new Set(tried.filter((one) => one.tried.differs).map(({ id }) => id));
  const together = onlyTogether(resolution, useful);
  const ranked = tried.flatMap(({ id, about, tried }) => {
    if (!useful.has(id) && !together.has(id)) return [];
    const all = [
      ...new Set([...tried.settles, ...about.verdicts, ...about.ways, ...about.order, ...about.levels]),
    ].sort();
    const safety = all.some((f) => resolution.rulebook.followUps.get(f)?.safety);
    return { question: describe(resolution, id, all, safety), weight: weigh(about, tried) };
  });
  ranked.sort((a, b) => compare(b.weight, a.weight) || (a.question.id < b.question.id ? -1 : 1));
  return [...ranked.map((r) => r.question), ...answeredQuestions(resolution, new Set(open.map(([id]) => id)))];
}

/** Where no answer alone tells anything of an undecided follow-up ("one of two, not both"), all that decide it are asked. */
function onlyTogether({ verdicts, facts }: Resolution, useful: ReadonlySet<string>): ReadonlySet<string> {
  const left = [...verdicts.values()].map((v) => v.decides.filter((id) => !answered(facts, id)));
  return new Set(left.filter((ids) => !ids.some((id) => useful.has(id))).flat());
}

/** What may turn on a question: follow-ups (ids). */
interface About {
  readonly verdicts: Set<string>;
  readonly ways: Set<string>;
  readonly order: Set<string>;
  readonly levels: Set<string>;
}

/** The way and the level of what is itself undecided wait until it is needed. */
function candidates({ verdicts, ways }: Resolution, order: Order): ReadonlyMap<string, About> {
  const open = new Map<string, About>();
  const note = (id: string, kind: keyof About, followUp: string) => {
    const had = open.get(id) ?? { verdicts: new Set(), ways: new Set(), order: new Set(), levels: new Set() };
    open.set(id, had);
    had[kind].add(followUp);
  };
  for (const { kind, followUp, decides, grades, asked } of verdicts.values()) {
    if (kind === 'excluded') continue;
    const { id } = followUp;
    for (const name of decides) note(name, 'verdicts', id);
    for (const name of grades) note(name, 'levels', id);
    if (kind === 'needed') for (const name of ways.get(id)?.decides ?? []) note(name, 'ways', id);
    if (asked && asked !== 'yes' && asked !== 'no') note(`done:${id}`, 'verdicts', id);
  }
  for (const [node, names] of order.waiting)
    for (const name of names) note(name, 'order', node.split('#')[0] as string);
  return open;
}

/**
 * First what the order or the way of a needed step waits for, then what leaves least that can hurt someone, then least at
 * all undecided; levels last.
 */
function weigh(about: About, { left }: Tried): number[] {
  const mean = (of: (left: Left) => number) => left.reduce((sum, one) => sum + of(one), 0) / Math.max(1, left.length);
  const waited = Number(about.order.size > 0) * 2 + Number(about.ways.size > 0);
  return [waited, -mean((l) => l.safety), -mean((l) => l.undecided), about.verdicts.size, about.levels.size];
}

function compare(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at < 0 ? 0 : (a[at] as number) - (b[at] as number);
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
  const likely = answered(resolution.facts, id) ? undefined : likelyOf(rulebook, resolution.known, id);
  return {
    id,
    kind: 'trait',
    text: row.question || traitTitle(rulebook, id),
    howToTell: row['how-to-tell'],
    answers,
    settles,
    safety,
    ...(likely ? { likely } : {}),
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
