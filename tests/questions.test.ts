import { describe, expect, test } from 'vitest';
import { checklist } from '../src/checklist.ts';
import { mustRead, rulebook } from './real-rulebook.ts';
import { book, on, planned } from './small-rulebook.ts';

const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });
const FITTED = ['none', 'fitted'];
const rack = { triggers: [on('rack replaced')] };

/** Ids of the questions, answered ones marked. */
function asked(rulebook: ReturnType<typeof book>, traits: Record<string, string> = {}): string[] {
  const { questions } = planned(rulebook, { work: ['rack replaced'], traits });
  return questions.map(({ id, answered }) => (answered === undefined ? id : `${id}: ${answered}`));
}

describe('which questions are asked, and in which order', () => {
  const rules = {
    safe: { ...rack, safety: true, fits: is('a', 'fitted') },
    plain: { ...rack, fits: is('b', 'fitted') },
    graded: {
      triggers: [
        { ...on('rack replaced'), level: 'recommended' },
        { ...on('rack replaced'), if: is('c', 'fitted') },
      ],
    },
    turned: {
      ...rack,
      ways: [
        { id: 'x', if: is('d', 'fitted') },
        { id: 'y', if: is('d', 'none') },
      ],
    },
  };
  const all = book({ traits: { a: FITTED, b: FITTED, c: FITTED, d: FITTED, e: FITTED }, rules });

  test('what a way waits for, what can hurt someone, what else is undecided, then levels, then the answered ones', () => {
    expect(asked(all)).toEqual(['d', 'a', 'b', 'c']);
    expect(asked(all, { b: 'none', e: 'fitted' })).toEqual(['d', 'a', 'c', 'b: none', 'e: fitted']);
  });

  test('a level is asked for only while the strongest is not sure anyway', () => {
    const sure = book({
      traits: { c: FITTED },
      rules: { graded: rules.graded, other: { ...rack, needs: [{ state: 'graded' }] } },
      states: { graded: { start: 'absent' } },
    });
    expect(asked(sure)).toEqual([]);
  });

  test('the way and the level of what may not be needed at all wait until it is', () => {
    const both = book({
      traits: { a: FITTED, d: FITTED },
      rules: { turned: { ...rules.turned, fits: is('a', 'fitted') } },
    });
    expect(asked(both)).toEqual(['a']);
    expect(asked(both, { a: 'fitted' })).toEqual(['d', 'a: fitted']);
    expect(asked(both, { a: 'none' })).toEqual(['a: none']);
  });

  test('two traits of which neither alone changes anything are both asked', () => {
    const odd = { or: [{ and: [is('a', 'fitted'), is('b', 'none')] }, { and: [is('a', 'none'), is('b', 'fitted')] }] };
    const either = book({ traits: { a: FITTED, b: FITTED }, rules: { x: { ...rack, fits: odd } } });
    expect(asked(either)).toEqual(['a', 'b']);
    expect(asked(either, { a: 'fitted' })).toEqual(['b', 'a: fitted']);
  });
});

test('after a new battery the radio code changes only a level, so it is asked for after all that is undecided', () => {
  const job = {
    ro: '1',
    vehicle: { maker: 'toyota', modelYear: 2012 },
    work: [{ part: 'battery-12v', did: 'replaced' }],
  };
  const list = checklist(mustRead(job), rulebook);
  const open = list.questions.filter((q) => q.answered === undefined);
  expect(list.steps.map((s) => s.followUp)).toContain('settings-restored');
  expect(open.length).toBeGreaterThan(3);
  const deciding = new Set(list.undecided.flatMap((u) => u.decides));
  const ids = open.map((q) => q.id);
  expect(ids.indexOf('audio-lock')).toBeGreaterThan(Math.max(...ids.map((id, i) => (deciding.has(id) ? i : -1))));
});
