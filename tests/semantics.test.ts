import { describe, expect, test } from 'vitest';
import { book, on, orderOf, planned, resolved, type Small, verdicts } from './small-rulebook.ts';

/** The fourteen settled rules, one block each. A rulebook here holds only what its rule is about. */

const has = (trait: string) => ({ '!=': [{ var: trait }, 'none'] });
const is = (trait: string, value: string) => ({ '==': [{ var: trait }, value] });
const FITTED = ['none', 'fitted'];

describe('1 verdicts are complete over all triggers of one follow-up', () => {
  const split = book({
    traits: { eps: FITTED, camera: ['none', 'target', 'road'] },
    rules: {
      zero: {
        triggers: [
          { ...on('rack replaced'), if: is('eps', 'none') },
          { ...on('rack replaced'), if: is('eps', 'fitted') },
        ],
      },
      aim: {
        fits: has('camera'),
        triggers: [
          { ...on('rack replaced'), if: is('camera', 'target') },
          { ...on('glass replaced'), if: is('camera', 'road') },
        ],
      },
    },
    parts: { disc: { at: ['front', 'rear'] } },
  });
  test('x or not x is needed although x is unknown', () => {
    expect(verdicts(split, { work: ['rack replaced'] })).toEqual({ zero: 'needed', aim: 'undecided' });
    const [zero] = planned(split, { work: ['rack replaced'] }).steps;
    expect(zero?.because).toEqual(['one of these holds: rack replaced: test', 'or: rack replaced: test']);
  });
  test('fits counts together with the triggers', () => {
    expect(
      verdicts(split, { work: ['rack replaced', 'glass replaced'], traits: { camera: ['target', 'road'] } }),
    ).toEqual({ zero: 'needed', aim: 'needed' });
    expect(verdicts(split, { work: ['rack replaced'], traits: { camera: 'none' } })).toEqual({ zero: 'needed' });
  });
  test('a line without position meets a trigger that names one only perhaps, and "where?" is asked', () => {
    const axle = book({
      rules: { bed: { triggers: [on('disc replaced rear')] } },
      parts: { disc: { at: ['front', 'rear'] } },
    });
    expect(verdicts(axle, { work: ['disc replaced'] })).toEqual({ bed: 'undecided' });
    expect(verdicts(axle, { work: ['disc replaced rear'] })).toEqual({ bed: 'needed' });
    expect(verdicts(axle, { work: ['disc replaced front'] })).toEqual({});
    expect(planned(axle, { work: ['disc replaced'] }).questions.map((q) => q.id)).toEqual(['at:0']);
    expect(verdicts(axle, { work: ['disc replaced'], answers: { 'at:0': 'rear' } })).toEqual({ bed: 'needed' });
  });
  test('triggers that together name every position are needed wherever it was', () => {
    const axle = book({
      rules: { bed: { triggers: [on('disc replaced rear'), on('disc replaced front')] } },
      parts: { disc: { at: ['front', 'rear'] } },
    });
    expect(verdicts(axle, { work: ['disc replaced'] })).toEqual({ bed: 'needed' });
  });
  test('the did ladder: replaced stands for refitted and unplugged, unless exactly is said', () => {
    const ladder = book({
      rules: {
        weak: { triggers: [on('camera unplugged')] },
        strict: { triggers: [{ ...on(), work: [{ part: 'camera', did: 'refitted', exactly: true }] }] },
      },
    });
    expect(verdicts(ladder, { work: ['camera replaced'] })).toEqual({ weak: 'needed' });
    expect(verdicts(ladder, { work: ['camera refitted'] })).toEqual({ weak: 'needed', strict: 'needed' });
    expect(verdicts(ladder, { work: ['camera cleaned'] })).toEqual({});
  });
  test('a step pulled by an undecided step is at most undecided, and two complementary pulls stay so', () => {
    const pulls = book({
      traits: { eps: FITTED },
      states: { s: { start: 'absent' } },
      rules: {
        make: { leaves: [{ state: 's' }] },
        one: { triggers: [{ ...on('rack replaced'), if: is('eps', 'none') }], needs: [{ state: 's' }] },
        two: { triggers: [{ ...on('rack replaced'), if: is('eps', 'fitted') }], needs: [{ state: 's' }] },
      },
    });
    expect(verdicts(pulls, { work: ['rack replaced'] })).toEqual({
      make: 'undecided',
      one: 'undecided',
      two: 'undecided',
    });
    expect(resolved(pulls, { work: ['rack replaced'] }).verdicts.get('make')?.decides).toEqual(['eps']);
    expect(verdicts(pulls, { work: ['rack replaced'], traits: { eps: 'none' } })).toEqual({
      make: 'needed',
      one: 'needed',
    });
  });
  test('over 4,096 combinations it stays undecided', () => {
    const traits = Object.fromEntries(Array.from({ length: 13 }, (_, i) => [`t${i}`, FITTED]));
    const triggers = Object.keys(traits).flatMap((t) => [
      { ...on('rack replaced'), if: is(t, 'none') },
      { ...on('rack replaced'), if: is(t, 'fitted') },
    ]);
    const wide = book({ traits, rules: { zero: { triggers } } });
    expect(verdicts(wide, { work: ['rack replaced'] })).toEqual({ zero: 'undecided' });
    expect(verdicts(wide, { work: ['rack replaced'], traits: { t0: 'none' } })).toEqual({ zero: 'needed' });
  });
});

describe('2 a trigger that applies says what the work upset', () => {
  const small: Small = {
    rules: {
      align: {
        'done-by': [{ part: 'alignment', did: 'adjusted' }],
        triggers: [on('rod replaced')],
        does: [{ part: 'alignment', did: 'adjusted' }],
        leaves: [{ state: 'aligned' }],
      },
      zero: { triggers: [on('alignment adjusted')], needs: [{ state: 'aligned' }] },
    },
  };
  test('does fires triggers as a work line would, and the step comes before what it calls for', () => {
    expect(orderOf(book(small), { work: ['rod replaced'] })).toEqual(['align', 'zero']);
    const zero = planned(book(small), { work: ['rod replaced'] }).steps[1];
    expect(zero?.because).toEqual(['alignment adjusted: test (part of align)']);
  });
  test("the order's own line is the step, and counts as its work", () => {
    const list = planned(book(small), { work: ['alignment adjusted'] });
    expect(list.steps.map((s) => s.id)).toEqual(['align', 'zero']);
    expect(list.steps[0]?.onOrder).toBe('alignment adjusted');
  });
  test('work of a step that is only recommended calls for nothing more than that', () => {
    const mild = book({
      rules: {
        ...small.rules,
        align: {
          ...small.rules['align'],
          triggers: [{ ...on('rod replaced'), level: 'recommended' }, on('rack replaced')],
        },
      },
    });
    const levels = (...work: string[]) => planned(mild, { work }).steps.map((s) => [s.id, s.level]);
    expect(levels('rod replaced')).toEqual([
      ['align', 'recommended'],
      ['zero', 'recommended'],
    ]);
    expect(levels('rod replaced', 'rack replaced')).toEqual([
      ['align', 'required'],
      ['zero', 'required'],
    ]);
  });
  test('work that a step does silences nothing and obeys not-needed by scope', () => {
    const spared = book({
      rules: {
        ...small.rules,
        zero: {
          triggers: [
            on('alignment adjusted'),
            { ...on('alignment adjusted'), scope: { makers: ['acme'] }, level: 'not-needed' },
          ],
        },
      },
    });
    expect(verdicts(spared, { work: ['rod replaced'], maker: 'acme' })).toEqual({ align: 'needed' });
    expect(verdicts(spared, { work: ['rod replaced'], maker: 'other' })).toEqual({ align: 'needed', zero: 'needed' });
    expect(verdicts(spared, { work: ['rod replaced'] })).toEqual({ align: 'needed', zero: 'undecided' });
  });
});

describe('3 pulls and the order by delivery', () => {
  test('a state that must hold, upset by a step, pulls its leaver behind it', () => {
    const fluid = book({
      rules: {
        move: { triggers: [on('rack replaced')], upsets: [{ state: 'zero' }] },
        set: { leaves: [{ state: 'zero' }] },
      },
    });
    expect(orderOf(fluid, { work: ['rack replaced'] })).toEqual(['move', 'set']);
    expect(planned(fluid, { work: ['rack replaced'] }).steps[1]?.because).toEqual(['move upsets "zero"']);
  });
  test('a state that must not stay pulls the step that ends it, after leaver and needers', () => {
    const pads = book({
      states: { opened: { delivery: 'must-not' } },
      rules: {
        open: { leaves: [{ state: 'opened' }] },
        swap: { triggers: [on('pads replaced')], needs: [{ state: 'opened' }] },
        'a-close': { upsets: [{ state: 'opened' }] },
      },
    });
    expect(orderOf(pads, { work: ['pads replaced'] })).toEqual(['open', 'swap', 'a-close']);
  });
  test('a free state orders its upsetters after leaver and needers and pulls nothing by being upset', () => {
    const read = book({
      states: { saved: { start: 'absent', delivery: 'free' } },
      rules: {
        save: { leaves: [{ state: 'saved' }] },
        write: { triggers: [on('ecm replaced')], needs: [{ state: 'saved' }] },
        'a-clear': { triggers: [on('ecm replaced')], upsets: [{ state: 'saved' }] },
      },
    });
    expect(orderOf(read, { work: ['ecm replaced'] })).toEqual(['save', 'write', 'a-clear']);
  });
  test('a state that holds is not made for its needer; one that is answered "no" is', () => {
    const pressures = book({
      states: { pressures: { start: 'confirm', question: 'Pressures right?' } },
      rules: {
        inflate: { leaves: [{ state: 'pressures' }] },
        align: { triggers: [on('rod replaced')], needs: [{ state: 'pressures' }] },
      },
    });
    const asked = planned(pressures, { work: ['rod replaced'] });
    expect(asked.steps.map((s) => s.id)).toEqual(['align']);
    expect(asked.steps[0]?.confirms).toEqual([
      { question: 'holds:pressures', state: 'pressures', text: 'Pressures right?' },
    ]);
    expect(orderOf(pressures, { work: ['rod replaced'], answers: { 'holds:pressures': 'no' } })).toEqual([
      'inflate',
      'align',
    ]);
    expect(orderOf(pressures, { work: ['rod replaced'], answers: { 'holds:pressures': 'yes' } })).toEqual(['align']);
  });
  test("can't tell: done anyway before a safety step, undecided before any other", () => {
    const rules = (safety: boolean): Small => ({
      states: { pressures: { start: 'confirm' } },
      rules: {
        inflate: { leaves: [{ state: 'pressures' }] },
        align: { safety, triggers: [on('rod replaced')], needs: [{ state: 'pressures' }] },
      },
    });
    const job = { work: ['rod replaced'], answers: { 'holds:pressures': null } };
    expect(verdicts(book(rules(true)), job)).toEqual({ inflate: 'needed', align: 'needed' });
    expect(verdicts(book(rules(false)), job)).toEqual({ inflate: 'undecided', align: 'needed' });
  });
  test('of several leavers those the work calls for, else those of the earliest phase', () => {
    const codes = (triggers: unknown[]): Small => ({
      states: { known: { start: 'absent' } },
      rules: {
        read: { phase: 'before', leaves: [{ state: 'known' }] },
        'read-off': { phase: 'apart', leaves: [{ state: 'known' }], triggers },
        enter: { triggers: [on('injector replaced')], needs: [{ state: 'known' }] },
      },
    });
    expect(verdicts(book(codes([])), { work: ['injector replaced'] })).toEqual({ read: 'needed', enter: 'needed' });
    expect(verdicts(book(codes([on('injector replaced')])), { work: ['injector replaced'] })).toEqual({
      'read-off': 'needed',
      enter: 'needed',
    });
  });
  test('where no leaver fits the car the state does not exist: no need, no question', () => {
    const yaw = book({
      traits: { yaw: FITTED },
      states: { 'yaw-zero': { start: 'confirm' } },
      rules: {
        'set-yaw': { fits: has('yaw'), leaves: [{ state: 'yaw-zero' }] },
        zero: { triggers: [on('rack replaced')], needs: [{ state: 'yaw-zero' }] },
      },
    });
    expect(
      planned(yaw, { work: ['rack replaced'], traits: { yaw: 'none' } }).steps.map((s) => [s.id, s.confirms.length]),
    ).toEqual([['zero', 0]]);
    expect(
      planned(yaw, { work: ['rack replaced'], traits: { yaw: 'fitted' } }).steps.map((s) => [s.id, s.confirms.length]),
    ).toEqual([['zero', 1]]);
  });
  test('a guard makes every step with that set-up need its state, unsaid', () => {
    const glass = book({
      states: { cured: { guards: [{ place: 'road' }] } },
      rules: {
        cure: { triggers: [on('glass replaced')], leaves: [{ state: 'cured' }] },
        'a-drive': { triggers: [on('glass replaced')], ways: [{ id: 'road', drive: { minutes: 5 } }] },
        'a-bay': {
          triggers: [on('glass replaced')],
          ways: [{ id: 'bay' }],
          after: [{ step: 'a-drive', because: 'test', sources: [] }],
        },
      },
    });
    const list = planned(glass, { work: ['glass replaced'] });
    expect(list.steps.map((s) => s.id)).toEqual(['cure', 'a-drive', 'a-bay']);
    expect(list.steps[1]?.waits).toEqual([{ step: 'cure', because: '"cured" must hold for this set-up' }]);
  });
  test('every edge carries its reason', () => {
    const aim = book({
      rules: {
        zero: { triggers: [on('rack replaced')], leaves: [{ state: 'zeroed' }] },
        aim: { triggers: [on('rack replaced')], needs: [{ state: 'zeroed', because: 'the camera asks the angle' }] },
      },
    });
    expect(planned(aim, { work: ['rack replaced'] }).steps.map((s) => s.waits)).toEqual([
      [],
      [{ step: 'zero', because: 'it needs "zeroed": the camera asks the angle' }],
    ]);
  });
});

describe('4 doubles merge', () => {
  test('one step keeps all reasons, the weightier first, and takes the strongest level', () => {
    const clear = book({
      rules: {
        clear: {
          triggers: [
            { ...on('abs replaced'), level: 'recommended', because: 'a' },
            { ...on('ecm replaced'), because: 'b' },
          ],
        },
      },
    });
    const [step, more] = planned(clear, { work: ['abs replaced', 'ecm replaced'] }).steps;
    expect(more).toBeUndefined();
    expect(step?.because).toEqual(['ecm replaced: b', 'abs replaced: a']);
    expect(step?.level).toBe('required');
    expect(planned(clear, { work: ['abs replaced'] }).steps[0]?.level).toBe('recommended');
  });
});

describe('5 repeats', () => {
  const small: Small = {
    states: { 'codes-clear': {} },
    rules: {
      clear: { repeatable: true, triggers: [on('ecm replaced')], leaves: [{ state: 'codes-clear' }] },
      'learn-a': {
        triggers: [on('ecm replaced')],
        needs: [{ state: 'codes-clear' }],
        upsets: [{ state: 'codes-clear' }],
      },
      'learn-b': { triggers: [on('ecm replaced')], needs: [{ state: 'codes-clear' }] },
      program: { triggers: [on('ecm replaced')], upsets: [{ state: 'codes-clear' }] },
    },
  };
  test('one more instance follows each step that needs and upsets; other needers stand before it', () => {
    expect(orderOf(book(small), { work: ['ecm replaced'] })).toEqual([
      'program',
      'clear',
      'learn-b',
      'learn-a',
      'clear#2',
    ]);
  });
  test('a needer that depends on such a step stands behind the instance after it', () => {
    const rules = {
      ...small.rules,
      'learn-b': { ...small.rules['learn-b'], needs: [{ state: 'codes-clear' }, { state: 'learn-a' }] },
    };
    expect(orderOf(book({ ...small, rules }), { work: ['ecm replaced'] })).toEqual([
      'program',
      'clear',
      'learn-a',
      'clear#2',
      'learn-b',
    ]);
  });
  test('two such steps take turns with it', () => {
    const rules = { ...small.rules, 'learn-b': { ...small.rules['learn-b'], upsets: [{ state: 'codes-clear' }] } };
    expect(orderOf(book({ ...small, rules }), { work: ['ecm replaced'] })).toEqual([
      'program',
      'clear',
      'learn-a',
      'clear#2',
      'learn-b',
      'clear#3',
    ]);
  });
});

describe('6 ways', () => {
  const aim = book({
    traits: { camera: ['none', 'target', 'road'], seat: FITTED },
    states: { cured: {} },
    rules: {
      'seat-zero': { safety: true, fits: has('seat'), triggers: [on('glass replaced')] },
      cure: { triggers: [on('glass replaced')], leaves: [{ state: 'cured' }] },
      aim: {
        fits: has('camera'),
        triggers: [on('glass replaced')],
        ways: [
          {
            id: 'target',
            if: is('camera', 'target'),
            tool: 'target-stand',
            minutes: { hands: 40 },
            needs: [{ state: 'cured' }],
          },
          { id: 'road', if: is('camera', 'road'), drive: { minutes: 10 } },
        ],
      },
    },
  });
  const step = (traits: Record<string, unknown>, tools?: string[]) =>
    planned(aim, { work: ['glass replaced'], traits, ...(tools ? { tools } : {}) }).steps.find((s) => s.id === 'aim');
  test('an undecided way: the step is needed, planned with the longest, all needs count, its question ranks first', () => {
    const open = planned(aim, { work: ['glass replaced'], traits: { camera: ['target', 'road'] } });
    expect(open.steps.map((s) => [s.id, s.way, s.minutes.hands])).toEqual([
      ['cure', 'do', 0],
      ['aim', 'target', 40],
    ]);
    expect(open.steps[1]?.waits.map((w) => [w.step, w.perhaps])).toEqual([['cure', true]]);
    expect(open.questions.map((q) => q.id)).toEqual(['camera', 'seat']);
  });
  test('known: that way, and only its needs', () => {
    expect([step({ camera: 'road' })?.way, step({ camera: 'road' })?.waitsFor]).toEqual(['road', []]);
    expect([step({ camera: 'target' })?.way, step({ camera: 'target' })?.waitsFor]).toEqual(['target', ['cure']]);
  });
  test('no tool for it in this shop: it stays, and sending out is offered', () => {
    expect([step({ camera: 'target' }, [])?.way, step({ camera: 'target' }, [])?.toolMissing]).toEqual([
      'target',
      true,
    ]);
    expect(step({ camera: 'road' }, [])?.toolMissing).toBe(false);
  });
  test('several that fit: the first in the file whose tool is there', () => {
    const two = book({
      rules: {
        zero: {
          triggers: [on('rack replaced')],
          ways: [
            { id: 'tool', tool: 'scan-tool' },
            { id: 'road', drive: { minutes: 1 } },
          ],
        },
      },
    });
    expect(planned(two, { work: ['rack replaced'] }).steps[0]).toMatchObject({ way: 'tool', ways: ['tool', 'road'] });
    expect(planned(two, { work: ['rack replaced'], tools: [] }).steps[0]).toMatchObject({
      way: 'road',
      toolMissing: false,
    });
  });
});

describe('7 covers', () => {
  const small: Small = {
    traits: { unit: FITTED },
    rules: {
      big: { triggers: [{ ...on('abs replaced'), if: is('unit', 'fitted') }], covers: ['small'] },
      small: {
        safety: true,
        triggers: [on('abs replaced')],
        leaves: [{ state: 'bled' }],
        after: [{ step: 'pre', because: 'test', sources: [] }],
      },
      pre: { triggers: [on('abs replaced')] },
      'a-needer': { triggers: [on('abs replaced')], needs: [{ state: 'bled' }] },
    },
  };
  test('a needed step covers: the other is done within it, and its safety, order and needers move over', () => {
    const list = planned(book(small), { work: ['abs replaced'], traits: { unit: 'fitted' } });
    expect(list.steps.map((s) => s.id)).toEqual(['pre', 'big', 'a-needer']);
    expect(list.steps[1]).toMatchObject({
      safety: true,
      covers: [{ followUp: 'small', title: 'small', because: ['abs replaced: test'] }],
    });
  });
  test('an excluded one covers nothing; while it is undecided the order holds for both', () => {
    expect(orderOf(book(small), { work: ['abs replaced'], traits: { unit: 'none' } })).toEqual([
      'pre',
      'small',
      'a-needer',
    ]);
    const open = planned(book(small), { work: ['abs replaced'] });
    expect(open.steps.map((s) => s.id)).toEqual(['pre', 'small', 'a-needer']);
    expect(open.undecided).toMatchObject([{ followUp: 'big', after: ['pre'], before: ['a-needer'] }]);
  });
});

describe('8 phases, and "was it done?"', () => {
  const codes = book({
    states: { known: { start: 'absent', delivery: 'free' } },
    rules: {
      read: { phase: 'before', triggers: [on('injector replaced')], leaves: [{ state: 'known' }] },
      'read-off': { phase: 'after', leaves: [{ state: 'known' }] },
      enter: { triggers: [on('injector replaced')], needs: [{ state: 'known' }] },
    },
  });
  const job = (more: object) => verdicts(codes, { work: ['injector replaced'], ...more });
  test('before the work it is a step like any other', () => {
    expect(planned(codes, { work: ['injector replaced'] }).steps.map((s) => [s.phase, s.id])).toEqual([
      ['before', 'read'],
      ['after', 'enter'],
    ]);
  });
  test('afterwards it asks; until answered the repair is undecided', () => {
    expect(job({ done: true })).toEqual({ read: 'needed', 'read-off': 'undecided', enter: 'needed' });
    const list = planned(codes, { work: ['injector replaced'], done: true });
    expect(list.steps[0]).toMatchObject({ id: 'read', asked: 'open' });
    expect(list.questions[0]?.id).toBe('done:read');
  });
  test('"no" pulls what repairs it in a later phase, and says so', () => {
    expect(job({ done: true, answers: { 'done:read': 'no' } })).toEqual({
      read: 'needed',
      'read-off': 'needed',
      enter: 'needed',
    });
    const off = planned(codes, { work: ['injector replaced'], done: true, answers: { 'done:read': 'no' } }).steps.find(
      (s) => s.id === 'read-off',
    );
    expect(off?.because).toEqual(['enter needs "known", and the step for it was missed before the work']);
  });
  test('"yes" settles it', () => {
    expect(job({ done: true, answers: { 'done:read': 'yes' } })).toEqual({ read: 'needed', enter: 'needed' });
  });
});

describe('9 tries and time-outs are carried to the step', () => {
  test('the way keeps its tries, hold and closing; the closing counts as waiting', () => {
    const way = {
      id: 'tool',
      tries: { most: 3, then: 'look for open codes' },
      hold: { ignition: 'on' },
      setup: { ignition: 'on' },
      closing: { ignition: 'off', wait: { seconds: 30 } },
    };
    const zero = book({ rules: { zero: { triggers: [on('rack replaced')], ways: [way] } } });
    expect(planned(zero, { work: ['rack replaced'] }).steps[0]?.minutes).toEqual({ hands: 0, wait: 0.5 });
    expect(zero.followUps.get('zero')?.ways[0]?.text).toMatchObject({ tries: way.tries, hold: way.hold });
  });
});

describe('first and last', () => {
  test('"last" stands behind all but what ends with the owner on this car', () => {
    const stands = book({
      traits: { battery: ['told', 'asleep'] },
      rules: {
        scan: { stands: 'last', triggers: [on('battery replaced')] },
        'z-register': {
          triggers: [on('battery replaced')],
          ways: [
            { id: 'told', if: is('battery', 'told') },
            { id: 'asleep', if: is('battery', 'asleep'), finish: 'owner', 'owner-told': 'leave it locked' },
          ],
        },
      },
    });
    expect(orderOf(stands, { work: ['battery replaced'], traits: { battery: 'told' } })).toEqual([
      'z-register',
      'scan',
    ]);
    expect(orderOf(stands, { work: ['battery replaced'], traits: { battery: 'asleep' } })).toEqual([
      'scan',
      'z-register',
    ]);
  });
});

describe('10 cycles', () => {
  test('at run time they never block the list: one block, told in plain words', () => {
    const ring = book({
      rules: {
        a: { triggers: [on('rack replaced')], needs: [{ state: 'b' }] },
        b: { triggers: [on('rack replaced')], needs: [{ state: 'a' }] },
        c: { triggers: [on('rack replaced')], needs: [{ state: 'a' }] },
      },
    });
    const list = planned(ring, { work: ['rack replaced'] });
    expect(list.steps.map((s) => [s.id, s.block])).toEqual([
      ['a', 1],
      ['b', 1],
      ['c', undefined],
    ]);
    expect(list.cycles).toEqual([
      {
        block: 1,
        steps: ['a', 'b'],
        text: 'b waits for a (it needs "a"); a waits for b (it needs "b"). The maker\'s order decides',
      },
    ]);
  });
  test('edges that can not all be true on one car are no cycle: the order waits for a question, which ranks first', () => {
    const either = book({
      traits: { type: ['x', 'y'], other: FITTED },
      rules: {
        a: { triggers: [on('rack replaced')], needs: [{ state: 'b', if: is('type', 'x') }] },
        b: { triggers: [on('rack replaced')], needs: [{ state: 'a', if: is('type', 'y') }] },
        c: { safety: true, fits: has('other'), triggers: [on('rack replaced')] },
      },
    });
    const list = planned(either, { work: ['rack replaced'] });
    expect(list.cycles).toEqual([]);
    expect(list.steps.map((s) => [s.id, s.orderWaitsFor])).toEqual([
      ['a', ['type']],
      ['b', ['type']],
    ]);
    expect(list.questions.map((q) => q.id)).toEqual(['type', 'other']);
    expect(orderOf(either, { work: ['rack replaced'], traits: { type: 'x' } })).toEqual(['b', 'a']);
    expect(orderOf(either, { work: ['rack replaced'], traits: { type: 'y' } })).toEqual(['a', 'b']);
  });
});

describe('11 levels', () => {
  test('an undecided follow-up counts as its strongest possible level', () => {
    const levels = book({
      traits: { t: ['a', 'b', 'c'] },
      rules: {
        learn: {
          triggers: [
            { ...on('rack replaced'), if: is('t', 'a') },
            { ...on('rack replaced'), level: 'recommended', if: is('t', 'b') },
          ],
        },
      },
    });
    expect(planned(levels, { work: ['rack replaced'] }).undecided).toMatchObject([
      { followUp: 'learn', level: 'required' },
    ]);
    expect(planned(levels, { work: ['rack replaced'], traits: { t: 'b' } }).steps).toMatchObject([
      { level: 'recommended' },
    ]);
    expect(planned(levels, { work: ['rack replaced'], traits: { t: ['b', 'c'] } }).undecided).toMatchObject([
      { level: 'recommended' },
    ]);
  });
  test("a trait that was looked at and can't be told stays undecided and is not asked again", () => {
    const can = book({ traits: { t: FITTED }, rules: { learn: { fits: has('t'), triggers: [on('rack replaced')] } } });
    const list = planned(can, { work: ['rack replaced'], traits: { t: null } });
    expect(list.undecided.map((u) => u.followUp)).toEqual(['learn']);
    expect(list.questions).toMatchObject([{ id: 't', answered: 'cannot-tell' }]);
  });
});

describe('12 law says has, never how', () => {
  test('true leaves every kind possible: needed, with the way still open', () => {
    const law = book({
      traits: { camera: ['none', 'target', 'road'] },
      rules: {
        aim: {
          fits: has('camera'),
          triggers: [on('glass replaced')],
          ways: [
            { id: 'target', if: is('camera', 'target') },
            { id: 'road', if: is('camera', 'road') },
          ],
        },
      },
    });
    const list = planned(law, { work: ['glass replaced'], traits: { camera: { value: true, by: 'law' } } });
    expect(list.steps).toMatchObject([{ id: 'aim', wayOpen: ['camera'] }]);
    expect(list.steps[0]?.causes[0]?.causes.map((c) => c.text)).toEqual(['camera: target or road, by law']);
    expect(verdicts(law, { work: ['glass replaced'], traits: { camera: false } })).toEqual({});
  });
});

describe('13 corrections', () => {
  const rule = book({
    traits: { t: FITTED, u: FITTED },
    rules: { learn: { fits: has('t'), triggers: [on('rack replaced')] } },
  });
  test('a newly known trait never flips a settled verdict; a corrected one may', () => {
    expect(verdicts(rule, { work: ['rack replaced'], traits: { t: 'fitted' } })).toEqual({ learn: 'needed' });
    expect(verdicts(rule, { work: ['rack replaced'], traits: { t: 'fitted', u: 'none' } })).toEqual({
      learn: 'needed',
    });
    expect(verdicts(rule, { work: ['rack replaced'], traits: { t: 'none' } })).toEqual({});
  });
});

describe('14 same facts and rules, same answer', () => {
  const parts: Small['rules'] = {
    a: { triggers: [on('x replaced'), on('y replaced')] },
    b: { triggers: [on('x replaced')], needs: [{ state: 'a' }] },
  };
  test('byte for byte, whatever the order of files and triggers', () => {
    const turned = { b: parts['b'] as object, a: { triggers: [on('y replaced'), on('x replaced')] } } as Small['rules'];
    const job = { work: ['x replaced', 'y replaced'] };
    const [one, two] = [planned(book({ rules: parts }), job), planned(book({ rules: turned }), job)];
    expect(JSON.stringify(one)).toBe(JSON.stringify(planned(book({ rules: parts }), job)));
    expect(two.steps.map((s) => s.id)).toEqual(one.steps.map((s) => s.id));
  });
});

describe('boxes', () => {
  const rule = book({
    rules: {
      torque: {
        triggers: [on('pads replaced'), on('disc replaced')],
        per: { position: ['front-left', 'front-right', 'rear-left', 'rear-right'] },
      },
    },
    parts: { pads: { at: ['front', 'rear'] }, disc: { at: ['front-left', 'rear-left'] } },
  });
  const boxes = (...work: string[]) => planned(rule, { work }).steps[0]?.boxes;
  test('one for each place of its lines, an axle standing for its corners; all where a line tells none', () => {
    expect(boxes('pads replaced rear')).toEqual(['rear-left', 'rear-right']);
    expect(boxes('disc replaced front-left', 'pads replaced rear')).toEqual(['front-left', 'rear-left', 'rear-right']);
    expect(boxes('pads replaced')).toEqual(['front-left', 'front-right', 'rear-left', 'rear-right']);
  });
});

describe('lags', () => {
  test('two needs between two steps: the longest minimum and the shortest maximum hold', () => {
    const rule = book({
      rules: {
        a: {
          triggers: [on('x replaced')],
          leaves: [
            { state: 'one', later: { seconds: 30 } },
            { state: 'two', later: { minutes: 2 } },
          ],
        },
        b: {
          triggers: [on('x replaced')],
          needs: [
            { state: 'one', within: { minutes: 10 } },
            { state: 'two', within: { hours: 1 } },
          ],
        },
      },
    });
    expect(planned(rule, { work: ['x replaced'] }).steps[1]?.waits).toMatchObject([
      { step: 'a', later: '2 min', within: '10 min' },
    ]);
  });
  test('a lag of some cars only stands beside the plain need, and is told where such a car is known', () => {
    const rule = book({
      traits: { camera: FITTED },
      rules: {
        a: { triggers: [on('x replaced')] },
        b: {
          triggers: [on('x replaced')],
          needs: [
            { state: 'a', because: 'it comes first' },
            { state: 'a', if: has('camera'), within: { minutes: 55 }, because: 'it wakes again' },
          ],
        },
      },
    });
    const waits = (traits: Record<string, string>) =>
      planned(rule, { work: ['x replaced'], traits }).steps[1]?.waits.map((w) => [w.step, w.within, w.perhaps]);
    expect(waits({ camera: 'fitted' })).toEqual([['a', '55 min', undefined]]);
    expect(waits({ camera: 'none' })).toEqual([['a', undefined, undefined]]);
    expect(waits({})).toEqual([['a', undefined, undefined]]);
  });
});

describe('implied work and not-needed', () => {
  const small: Small = {
    traits: { camera: FITTED },
    parts: {
      glass: {
        implies: [
          { when: 'refitted', part: 'camera', did: 'refitted', if: has('camera'), because: 'it hangs on the glass' },
          { when: 'refitted', part: 'supply', did: 'power-lost', maybe: true, because: 'some take the cable off' },
        ],
      },
    },
    rules: {
      aim: {
        triggers: [
          on('camera refitted'),
          { ...on('glass refitted'), level: 'not-needed', scope: { makers: ['acme'], models: ['one'] } },
        ],
      },
      clock: { triggers: [on('supply power-lost')] },
    },
  };
  const job = (more: object) => verdicts(book(small), { work: ['glass replaced'], ...more });
  test('chains are followed and told', () => {
    expect(job({ traits: { camera: 'fitted' }, maker: 'other', answers: { 'did:supply/power-lost': 'no' } })).toEqual({
      aim: 'needed',
    });
    const list = planned(book(small), { work: ['glass replaced'], traits: { camera: 'fitted' }, maker: 'other' });
    expect(list.steps[0]?.because).toEqual([
      'camera refitted: test (it follows from glass replaced: it hangs on the glass)',
    ]);
  });
  test('maybe implied work is asked', () => {
    const list = planned(book(small), { work: ['glass replaced'], traits: { camera: 'none' }, maker: 'other' });
    expect(list.undecided.map((u) => [u.followUp, u.decides])).toEqual([['clock', ['did:supply/power-lost']]]);
    expect(job({ traits: { camera: 'none' }, maker: 'other', answers: { 'did:supply/power-lost': 'yes' } })).toEqual({
      clock: 'needed',
    });
  });
  test('not-needed at a higher rank silences what its line implies, never a line of its own', () => {
    const acme = {
      traits: { camera: 'fitted' },
      maker: 'acme',
      model: 'one',
      answers: { 'did:supply/power-lost': 'no' },
    };
    expect(job(acme)).toEqual({});
    expect(verdicts(book(small), { ...acme, work: ['glass replaced', 'camera refitted'] })).toEqual({ aim: 'needed' });
    expect(job({ ...acme, model: 'two' })).toEqual({ aim: 'needed' });
  });
  test('an unknown model leaves it undecided, never general by default', () => {
    expect(job({ traits: { camera: 'fitted' }, maker: 'acme', answers: { 'did:supply/power-lost': 'no' } })).toEqual({
      aim: 'undecided',
    });
  });
});
