import { describe, expect, test } from 'vitest';
import { readFacts } from '../src/resolve/facts.ts';
import { book, on, orderOf, planned, resolved, verdicts } from './small-rulebook.ts';

/** Small cases that the properties came upon, kept so that each stays mended. */
describe('found by trying', () => {
  const both = ['none', 'fitted'];
  const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });

  test('a step that needs an absent state twice, once perhaps, comes to an end', () => {
    const rules = {
      make: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }, { state: 's', if: is('eps', 'fitted') }] },
    };
    expect(
      verdicts(book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } }), { work: ['box replaced'] }),
    ).toEqual({ make: 'needed', use: 'needed' });
  });

  test('a leaver that the work only perhaps calls for is no sure leaver where an earlier phase has one', () => {
    const rules = {
      early: { phase: 'apart', leaves: [{ state: 's' }] },
      late: { triggers: [{ ...on('box replaced'), if: is('eps', 'fitted') }], leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({
      early: 'undecided',
      late: 'undecided',
      use: 'needed',
    });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('early')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({
      early: 'needed',
      use: 'needed',
    });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({
      late: 'needed',
      use: 'needed',
    });
  });

  test('a later leaver may still be pulled while it is open whether the earlier one fits', () => {
    const rules = {
      early: { phase: 'apart', fits: is('eps', 'fitted'), leaves: [{ state: 's' }] },
      late: { leaves: [{ state: 's' }] },
      use: { triggers: [on('box replaced')], needs: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({
      early: 'undecided',
      late: 'undecided',
      use: 'needed',
    });
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'none' } })).toEqual({
      late: 'needed',
      use: 'needed',
    });
  });

  test('what a second way does is only perhaps done while the first may fit', () => {
    const rules = {
      step: {
        triggers: [on('box replaced')],
        ways: [
          { id: 'a', if: is('eps', 'fitted') },
          { id: 'b', does: [{ part: 'cell', did: 'refitted' }] },
        ],
      },
      after: { triggers: [on('cell refitted')] },
    };
    const rulebook = book({ rules, traits: { eps: both } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ after: 'undecided', step: 'needed' });
    expect(resolved(rulebook, { work: ['box replaced'] }).verdicts.get('after')?.decides).toEqual(['eps']);
    expect(verdicts(rulebook, { work: ['box replaced'], traits: { eps: 'fitted' } })).toEqual({ step: 'needed' });
  });

  test('a way that is only perhaps possible is not sure because no other has its tool here', () => {
    const rules = {
      step: {
        triggers: [on('box replaced')],
        ways: [
          { id: 'a', if: is('eps', 'fitted'), tool: 'scan-tool', needs: [{ state: 's' }] },
          { id: 'b', tool: 'target-stand' },
        ],
      },
      make: { leaves: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    const job = { work: ['box replaced'], tools: ['scan-tool'] };
    expect(verdicts(rulebook, job)).toEqual({ make: 'undecided', step: 'needed' });
    expect(verdicts(rulebook, { ...job, traits: { eps: 'none' } })).toEqual({ step: 'needed' });
  });

  test('an order that runs through a step that is still undecided is kept', () => {
    const rules = {
      a: { triggers: [on('box replaced')], needs: [{ state: 'b' }] },
      b: { triggers: [{ ...on('box replaced'), if: is('eps', 'fitted') }], needs: [{ state: 'c' }] },
      c: { triggers: [on('box replaced')] },
    };
    expect(orderOf(book({ rules, traits: { eps: both } }), { work: ['box replaced'] })).toEqual(['c', 'a']);
  });

  test('a way that is the only one and only perhaps fits pulls only perhaps', () => {
    const rules = {
      step: { triggers: [on('box replaced')], ways: [{ id: 'a', if: is('eps', 'fitted'), needs: [{ state: 's' }] }] },
      make: { leaves: [{ state: 's' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { start: 'absent' } } });
    expect(verdicts(rulebook, { work: ['box replaced'] })).toEqual({ make: 'undecided', step: 'needed' });
  });

  test('a maybe is asked, and is no work before it is answered', () => {
    const maybe = {
      arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', maybe: true, because: 'test' }] },
    };
    const rulebook = book({ parts: maybe, rules: { set: { triggers: [on('hub refitted')] } } });
    expect(verdicts(rulebook, { work: ['arm replaced'] })).toEqual({ set: 'undecided' });
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { 'did:hub/refitted': 'yes' } })).toEqual({
      set: 'needed',
    });
  });

  test('a not-needed does not silence what its line implies at the same rank', () => {
    const follows = { arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', because: 'test' }] } };
    const spare = (rank: object) => ({ ...on('arm refitted'), level: 'not-needed', ...rank });
    const at = (scope: object) =>
      book({ parts: follows, rules: { set: { triggers: [on('hub refitted'), spare(scope)] } } });
    expect(verdicts(at({}), { work: ['arm refitted'], maker: 'alba' })).toEqual({ set: 'needed' });
    expect(verdicts(at({ scope: { makers: ['alba'] } }), { work: ['arm refitted'], maker: 'alba' })).toEqual({});
  });

  test('an object with a length where a text is wanted is one fault', () => {
    const rulebook = book({ rules: {} });
    const messages = (ro: unknown) => readFacts({ ro, work: [] }, rulebook).faults.map((f) => f.message);
    expect(messages({ length: 'a' })).toEqual(['expected string, received object']);
    expect(messages({ length: { toString: false } })).toEqual(['holds a value that can not be checked']);
  });

  test('two that cover each other do not both vanish', () => {
    const rules = {
      a: { triggers: [on('box replaced')], covers: ['b'] },
      b: { triggers: [on('box replaced')], covers: ['a'] },
    };
    expect(orderOf(book({ rules }), { work: ['box replaced'] })).toEqual(['a']);
  });

  test('only an upsetter that upsets the state on this car is pulled to undo it', () => {
    const rules = {
      open: { triggers: [on('pads replaced')], leaves: [{ state: 's' }] },
      close: { upsets: [{ state: 's', if: is('eps', 'fitted') }], leaves: [{ state: 'closed' }] },
    };
    const rulebook = book({ rules, traits: { eps: both }, states: { s: { delivery: 'must-not' } } });
    expect(verdicts(rulebook, { work: ['pads replaced'] })).toEqual({ close: 'undecided', open: 'needed' });
    expect(verdicts(rulebook, { work: ['pads replaced'], traits: { eps: 'none' } })).toEqual({ open: 'needed' });
  });

  const parts = {
    arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', because: 'test' }] },
    hub: {
      at: ['left', 'right'],
      implies: [{ when: 'refitted', part: 'link', did: 'refitted', at: 'same', because: 'test' }],
    },
    link: { at: ['left', 'right', 'middle'] },
  };

  test('"where?" can be answered for work that follows from a line', () => {
    const rulebook = book({ parts, rules: { set: { triggers: [on('hub refitted left')] } } });
    const asked = planned(rulebook, { work: ['arm replaced'] }).questions[0];
    expect([asked?.id, asked?.answers.map((a) => a.value)]).toEqual(['at:0>hub/refitted/0', ['left', 'right']]);
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'left' } })).toEqual({
      set: 'needed',
    });
    expect(verdicts(rulebook, { work: ['arm replaced'], answers: { [asked?.id as string]: 'right' } })).toEqual({});
    expect(
      readFacts(
        { ro: '1', work: [{ part: 'arm', did: 'replaced' }], answers: { 'at:0>hub/refitted/0': 'top' } },
        rulebook,
      ).faults.map((f) => f.message),
    ).toEqual(['unknown position']);
  });

  test('work at the same place as its line can only be where the line can be', () => {
    const rulebook = book({ parts, rules: { set: { triggers: [on('link refitted left,right')] } } });
    expect(verdicts(rulebook, { work: ['hub refitted'] })).toEqual({ set: 'needed' });
  });

  test('what follows from a "maybe" that the order already says is not asked again', () => {
    const maybe = {
      arm: { implies: [{ when: 'refitted', part: 'hub', did: 'refitted', maybe: true, because: 'test' }] },
      hub: { implies: [{ when: 'refitted', part: 'link', did: 'refitted', because: 'test' }] },
    };
    const spare = { ...on('hub refitted'), level: 'not-needed', scope: { makers: ['alba'] } };
    const rulebook = book({ parts: maybe, rules: { set: { triggers: [on('link refitted'), spare] } } });
    expect(verdicts(rulebook, { work: ['arm replaced', 'hub refitted'], maker: 'alba' })).toEqual({});
  });
});
