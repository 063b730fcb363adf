import { describe, expect, test } from 'vitest';
import { checklist } from '../src/checklist.ts';
import { flips } from '../src/resolve/flips.ts';
import { answerWith, choicesOf } from '../src/resolve/questions.ts';
import { resolve } from '../src/resolve/resolve.ts';
import { mustRead, numbers, randomJob, rulebook } from './real-rulebook.ts';
import { book, on, planned } from './small-rulebook.ts';

const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });
const FITTED = ['none', 'fitted'];

/** Kinds and sentences of what another set of traits does to one job. */
function between(
  rulebook: ReturnType<typeof book>,
  was: Record<string, string>,
  now: Record<string, string>,
): string[] {
  const list = (traits: Record<string, string>) => planned(rulebook, { work: ['rack replaced'], traits });
  return flips(list(was), list(now)).map(({ kind, text }) => `${kind}: ${text}`);
}

describe('what an answer did to the list', () => {
  const one = (rule: object, more: object = {}) =>
    book({ traits: { a: FITTED }, rules: { x: { triggers: [on('rack replaced')], ...rule }, ...more } });

  test('settles what was open, either way, and opens it again', () => {
    const rules = one({ fits: is('a', 'fitted') });
    expect(between(rules, {}, { a: 'fitted' })).toEqual(['added: x is needed now: rack replaced: test']);
    expect(between(rules, {}, { a: 'none' })).toEqual(['dropped: x is not needed; it was open']);
    expect(between(rules, { a: 'fitted' }, {})).toEqual(['perhaps: x is open again']);
    expect(between(rules, { a: 'none' }, {})).toEqual(['perhaps: x may be needed now']);
  });

  test('a correction drops one and adds another', () => {
    const rules = one(
      { fits: is('a', 'fitted') },
      { y: { fits: is('a', 'none'), safety: true, triggers: [on('rack replaced')] } },
    );
    expect(between(rules, { a: 'fitted' }, { a: 'none' })).toEqual([
      'added: y is needed now: rack replaced: test',
      'dropped: x is no longer needed',
    ]);
    expect(between(rules, { a: 'none' }, { a: 'none' })).toEqual([]);
  });

  test('changes a level', () => {
    const rules = one({
      triggers: [
        { ...on('rack replaced'), level: 'recommended' },
        { ...on('rack replaced'), if: is('a', 'fitted') },
      ],
    });
    expect(between(rules, { a: 'none' }, { a: 'fitted' })).toEqual(['level: x is required now, no longer recommended']);
    expect(between(rules, { a: 'fitted' }, { a: 'none' })).toEqual(['level: x is recommended now, no longer required']);
  });

  test('changes a way, or makes it sure', () => {
    const rules = one({
      ways: [
        { id: 'by-tool', if: is('a', 'fitted') },
        { id: 'on-the-road', if: is('a', 'none') },
      ],
    });
    expect(between(rules, { a: 'fitted' }, { a: 'none' })).toEqual([
      'way: x is done another way now: on the road, not by tool',
    ]);
    expect(between(rules, {}, { a: 'fitted' })).toEqual(['way: x is sure to be done this way: by tool']);
    expect(between(rules, { a: 'fitted' }, {})).toEqual(['way: x may come to be done another way']);
  });

  test('turns the order round', () => {
    const rules = one(
      { needs: [{ state: 'y', if: is('a', 'fitted') }] },
      { y: { triggers: [on('rack replaced')], needs: [{ state: 'x', if: is('a', 'none') }] } },
    );
    expect(between(rules, { a: 'none' }, { a: 'fitted' })).toEqual(['moved: x comes behind y now']);
    expect(between(rules, { a: 'fitted' }, { a: 'none' })).toEqual(['moved: y comes behind x now']);
  });

  test('takes a step into another, and out of it', () => {
    const rules = one({}, { y: { fits: is('a', 'fitted'), triggers: [on('rack replaced')], covers: ['x'] } });
    expect(between(rules, { a: 'none' }, { a: 'fitted' })).toEqual([
      'added: y is needed now: rack replaced: test',
      'within: x is done within y',
    ]);
    expect(between(rules, { a: 'fitted' }, { a: 'none' })).toEqual([
      'dropped: y is no longer needed',
      'alone: x is no longer done within y, but as a step',
    ]);
  });
});

/** A job on a car of which nothing but maker and model year is known. */
function sparse(next: () => number) {
  const job = randomJob(next);
  return { ...job, vehicle: { ...job.vehicle, traits: {} }, 'work-done': false };
}

test('on random jobs and answers: flips are exactly what the two lists differ in, and none where they do not', () => {
  const next = numbers(7);
  const kinds = new Set<string>();
  for (let i = 0; i < 60; i++) {
    const facts = mustRead(sparse(next));
    const before = checklist(facts, rulebook);
    expect(flips(before, before)).toEqual([]);
    const question = before.questions[Math.floor(next() * before.questions.length)];
    if (!question) continue;
    const choices = choicesOf(resolve(facts, rulebook), question.id);
    const after = checklist(
      answerWith(facts, rulebook, question.id, choices[Math.floor(next() * choices.length)] as string),
      rulebook,
    );
    const found = flips(before, after);
    for (const flip of found) kinds.add(flip.kind);
    const needed = (list: typeof before) =>
      new Set(list.steps.flatMap((s) => [s.followUp, ...s.covers.map((c) => c.followUp)]));
    const [was, now] = [needed(before), needed(after)];
    const open = (list: typeof before) => new Set(list.undecided.map((u) => u.followUp));
    const ids = (kind: string) =>
      found
        .filter((f) => f.kind === kind)
        .map((f) => f.followUp)
        .sort();
    expect(ids('added')).toEqual([...now].filter((id) => !was.has(id)).sort());
    expect(ids('dropped')).toEqual(
      [...was, ...open(before)].filter((id) => !now.has(id) && !open(after).has(id)).sort(),
    );
    expect(ids('perhaps')).toEqual([...open(after)].filter((id) => !open(before).has(id)).sort());
  }
  expect([...kinds]).toEqual(expect.arrayContaining(['added', 'dropped']));
});
