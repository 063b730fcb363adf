import type { Settle } from '../src/job/gate.ts';
import { checkItem, finalCheck, NOTHING_LEFT } from '../src/job/final-check.ts';
import type { Asked } from '../src/job/asked.ts';
import { itemOf, plan } from '../src/job/plan.ts';
import type { ReadingValue } from '../src/job/values.ts';
import type { Runner, Told } from './job.run.ts';

/** What people on a random day may say, sensible or not, and how somebody would settle what the gate refuses. */

export type Pick = (below: number) => number;
const one = <T>(pick: Pick, list: readonly T[]): T => list[pick(list.length)] as T;

const PEOPLE = ['Ana', 'Ben', 'Cleo'];
const PARTS = ['tie-rod', 'rack', 'windscreen', 'pads', 'battery', 'module', 'seat', 'nonsense'];
const TRAITS: Record<string, readonly (string | null)[]> = {
  camera: ['none', 'target', 'road', null],
  management: ['none', 'told', null],
  'seat-sensor': ['none', 'fitted', null],
  memory: ['none', 'fitted', null],
};
const CODES = ['C1513', 'P0301', 'U0100'];
const LAMPS = ['airbag', 'brake', 'tyre-pressure'];

export function hash(n: number): string {
  return n.toString(16).padStart(64, '0');
}

/** Anything, by anybody, at any time. */
export function anything(runner: Runner, pick: Pick): Told {
  const made = runner.job.status === 'unopened' ? undefined : plan(runner.job, runner.rulebook);
  const step = made && made.items.length > 0 && pick(12) > 0 ? one(pick, made.items).id : 'no-such-step';
  const by = one(pick, PEOPLE);
  const values = () => someValues(runner, step, pick);
  const kinds: (() => Told)[] = [
    () => ({
      type: 'line-added',
      line: { part: one(pick, PARTS), did: one(pick, ['replaced', 'refitted', 'adjusted']) },
    }),
    () => ({
      type: 'line-struck',
      line: one(pick, [...runner.job.lines.map((l) => l.id), 'nobody']),
      because: 'wrong',
    }),
    () => ({ type: 'work-done' }),
    () => ({ type: 'work-done' }),
    () => ({ type: 'work-not-done', because: 'one bolt is out again' }),
    () => ({ type: 'trait-told', ...traitTold(pick) }),
    () => ({ type: 'trait-told', trait: traitTold(pick).trait }),
    () => ({ type: 'answered', question: answerTold(runner, pick).question }),
    () => ({ type: 'answered', ...answerTold(runner, pick) }),
    () => ({ type: 'started', step }),
    () => ({ type: 'noted', step, values: values() }),
    () => ({ type: 'took', step, values: values() }),
    () => ({ type: 'took', step, values: goodValues(runner, step) }),
    () => ({ type: 'took', step, values: spoiled(goodValues(runner, step), pick) }),
    () => ({ type: 'took', step, values: goodValues(runner, step) }),
    () => ({ type: 'took', step }),
    () => ({ type: 'closed', step }),
    () => ({ type: 'did-not-take', step }),
    () => ({ type: 'stuck', step, why: 'no entry' }),
    () => ({ type: 'sent-out', step, firm: 'Axle and Son', on: '2026-03-02' }),
    () => ({ type: 'returned', step, photo: hash(pick(4)) }),
    () => ({ type: 'waiting', step, part: 'bolt', promised: '2026-03-04' }),
    () => ({ type: 'not-done', step, reason: one(pick, ['declined', 'no-tool', 'part-missing', 'does-not-fit']) }),
    () => ({
      type: 'answer-chosen',
      step,
      event: one(pick, ['c1', runner.job.steps.get(step)?.rivals?.[0]?.event ?? 'c2']),
    }),
    () => ({ type: 'ruled-out', step, photo: hash(pick(4)), because: 'seen' }),
    () => ({ type: 'photo-attached', hash: hash(pick(4)) }),
    () => ({
      type: 'scanned',
      when: one(pick, ['before', 'after', 'after']),
      codes: CODES.filter(() => pick(3) === 0).map((code) => ({ code })),
    }),
    () => ({
      type: 'readiness-read',
      when: one(pick, ['before', 'after', 'after']),
      modules: [{ module: null, mil: pick(2) === 0, count: pick(3), ignition: 'spark', monitors: [] }],
      permanent: pick(2) === 0 ? null : CODES.filter(() => pick(3) === 0),
      doubts: [],
      unread: 0,
    }),
    () => ({
      type: 'lamps',
      when: one(pick, ['intake', 'release']),
      lit: pick(5) === 0 ? null : LAMPS.filter(() => pick(4) === 0),
    }),
    () => ({
      type: 'explained',
      about: pick(2) ? { code: one(pick, CODES) } : { lamp: one(pick, LAMPS) },
      because: 'old fault',
    }),
    () => ({ type: 'set-up-left', setup: { ignition: one(pick, ['off', 'on', 'half']) } }),
    () => ({ type: 'night-passed' }),
    () => ({
      type: 'state-lapsed',
      state: one(pick, ['windows-known', 'steering-zero', 'nonsense']),
      because: 'battery off',
    }),
    () => ({
      type: 'state-ended',
      state: one(pick, ['brake-opened', 'aligned']),
      photo: hash(pick(4)),
      because: 'seen',
    }),
    () => ({ type: 'sent-back', step, because: 'crooked' }),
    () => ({ type: 'checked', ...checkTold(runner, pick) }),
    () => ({
      type: 'checked',
      item: pick(3) ? step : NOTHING_LEFT,
      value: one(pick, [
        { kind: 'number', value: 0 },
        { kind: 'choice', value: 'nothing is left' },
      ]),
    }),
    () => ({ type: 'released' }),
    () => ({ type: 'left-unfinished', foreman: 'Ben', customer: 'R. Holder', lines: [] }),
    () => ({ type: 'reopened', because: 'back again' }),
  ];
  return { by, ...one(pick, kinds)() };
}

function traitTold(pick: Pick): { trait: string; answer: string | null } {
  const trait = one(pick, Object.keys(TRAITS));
  return { trait, answer: one(pick, TRAITS[trait] as readonly (string | null)[]) };
}

function answerTold(runner: Runner, pick: Pick): { question: string; answer: string | number | null } {
  const done = runner.rulebook && [...runner.rulebook.followUps.keys()].map((id) => `done:${id}`);
  const question = one(pick, ['holds:aligned', 'at:0', 'wait:glass-wait', ...(done ?? [])]);
  const answer = question.startsWith('wait')
    ? 60
    : question.startsWith('at')
      ? one(pick, ['front', 'left', null])
      : one(pick, ['yes', 'no', null]);
  return { question, answer };
}

/** A good answer to whatever a reading asks. */
function good(asked: Asked): ReadingValue {
  if (asked.answer === 'choice') return { kind: 'choice', value: asked.choices[0] as string };
  if (asked.answer === 'text') return { kind: 'text', value: 'batch 7781' };
  if (asked.answer === 'photo') return { kind: 'photo', hash: hash(0) };
  const { min, max } = asked.limits[0] ?? {};
  return { kind: 'number', value: min !== undefined && max !== undefined ? (min + max) / 2 : (min ?? max ?? 1) };
}

function askedOf(runner: Runner, step: string): readonly Asked[] {
  return (runner.job.status !== 'unopened' && itemOf(plan(runner.job, runner.rulebook), step)?.asked) || [];
}

function goodValues(runner: Runner, step: string): Record<string, ReadingValue> {
  return Object.fromEntries(askedOf(runner, step).map((asked) => [asked.key, good(asked)]));
}

function someValues(runner: Runner, step: string, pick: Pick): Record<string, ReadingValue> {
  const odd: ReadingValue[] = [
    { kind: 'number', value: -1 },
    { kind: 'number', value: 131 },
    { kind: 'text', value: 'OK' },
    { kind: 'choice', value: 'not open' },
    { kind: 'not-supported', photo: hash(pick(4)) },
  ];
  const asked = askedOf(runner, step).filter(() => pick(4) > 0);
  return Object.fromEntries(asked.map((a) => [a.key, pick(3) === 0 ? one(pick, odd) : good(a)]));
}

/** One figure far out, or one choice the wrong one. */
function spoiled(values: Record<string, ReadingValue>, pick: Pick): Record<string, ReadingValue> {
  const keys = Object.keys(values);
  const key = keys.length > 0 ? one(pick, keys) : undefined;
  const value = key === undefined ? undefined : values[key];
  if (key === undefined || value === undefined) return values;
  if (value.kind === 'number') return { ...values, [key]: { ...value, value: value.value - 500 } };
  return value.kind === 'choice' ? { ...values, [key]: { kind: 'choice', value: 'not open' } } : values;
}

/** A check as it should be, by whoever is at hand. */
function checkTold(runner: Runner, pick: Pick): { item: string; value: ReadingValue } {
  if (runner.job.status === 'unopened')
    return { item: NOTHING_LEFT, value: { kind: 'choice', value: 'nothing is left' } };
  const item = one(pick, finalCheck(plan(runner.job, runner.rulebook)).flat());
  return { item: item.id, value: good(item.asked) };
}

/** Commands that settle a refusal as the gate says: what they need first (a photo, how long to wait), then the one itself. */
export function settling(settle: Settle, runner: Runner, pick: Pick): Told[] {
  const made = plan(runner.job, runner.rulebook);
  // Long enough for every wait to be over.
  runner.pass(120);
  switch (settle.type) {
    case 'took':
      return [...photo(runner, 0), { type: 'took', step: settle.step, values: goodValues(runner, settle.step) }];
    case 'noted': {
      const asked = itemOf(made, settle.step)?.asked.find((a) => a.key === settle.key) as Asked;
      return [...photo(runner, 0), { type: 'noted', step: settle.step, values: { [settle.key]: good(asked) } }];
    }
    case 'state-ended':
      return [...photo(runner, 1), { ...settle, photo: hash(1), because: 'seen' }];
    case 'returned':
    case 'ruled-out':
      return [
        ...photo(runner, 1),
        { ...settle, photo: hash(1), ...(settle.type === 'ruled-out' ? { because: 'seen' } : {}) },
      ];
    case 'line-added':
      return [{ type: 'line-added', line: { part: one(pick, PARTS.slice(0, -1)), did: 'replaced' } }];
    case 'not-done':
      return [{ ...settle, reason: 'no-tool' }];
    case 'answer-chosen':
      return [{ type: 'answer-chosen', step: settle.step, event: one(pick, settle.events) }];
    case 'sent-back':
      return [{ ...settle, because: 'nobody can tell' }];
    case 'answered':
      return [answering(settle.question, runner, pick)];
    case 'explained':
      return [
        { type: 'explained', about: settle.code ? { code: settle.code } : { lamp: settle.lamp }, because: 'old fault' },
      ];
    case 'scanned':
      return [{ type: 'scanned', when: 'after', codes: [] }];
    case 'lamps':
      return [{ ...settle, lit: [] }];
    case 'checked': {
      const item = checkItem(made, settle.item);
      const by = [...PEOPLE, 'Dora'].find((person) => !item?.hands.includes(person)) as string;
      return [...photo(runner, 0), { ...settle, value: good(item?.asked as Asked), by }];
    }
    default:
      return [{ ...settle }];
  }
}

function photo(runner: Runner, n: number): Told[] {
  return runner.job.photos.has(hash(n)) ? [] : [{ type: 'photo-attached', hash: hash(n) }];
}

function answering(question: string, runner: Runner, pick: Pick): Told {
  if (Object.hasOwn(TRAITS, question))
    return { type: 'trait-told', trait: question, answer: one(pick, (TRAITS[question] as string[]).filter(Boolean)) };
  if (question.startsWith('wait:')) return { type: 'answered', question, answer: 1 };
  const asked = plan(runner.job, runner.rulebook).checklist.questions.find((q) => q.id === question);
  const answers = asked?.answers.map((a) => a.value) ?? ['yes', 'no'];
  return { type: 'answered', question, answer: one(pick, answers.length > 0 ? answers : ['yes', 'no']) };
}
