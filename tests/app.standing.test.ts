import { describe, expect, test } from 'vitest';
import { itemSays } from '../src/app/item-says.ts';
import type { Planned } from '../src/app/plan.ts';
import { sooner, type Standing, standingOf } from '../src/app/standing.ts';
import { sightOf } from '../src/job/sight.ts';
import { rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';

/** Where a car stands on the bay sheet, from what was said of it. Times are those of the test's clock, from 8:00 on. */

const NOW = Date.UTC(2026, 2, 2, 12);
const PHOTO = 'a'.repeat(64);
const opened: Told[] = [{ type: 'opened' }, { type: 'line-added', line: { part: 'tie-rod', did: 'replaced' } }];
const aligned: Told = {
  type: 'took',
  step: 'alignment',
  values: {
    'proof/alignment/Toe': { kind: 'number', value: 0.1 },
    'proof/alignment/Sheet': { kind: 'photo', hash: PHOTO },
  },
};
const zeroed: Told = {
  type: 'took',
  step: 'steering-zero',
  values: {
    'entry/Battery voltage': { kind: 'number', value: 12.6 },
    'proof/steering-zero/Angle straight ahead': { kind: 'number', value: 0.4 },
  },
};
const worked: Told[] = [...opened, { type: 'work-done' }, { type: 'photo-attached', hash: PHOTO }];
const finished: Told[] = [
  ...worked,
  aligned,
  zeroed,
  { type: 'closed', step: 'steering-zero' },
  { type: 'lamps', when: 'intake', lit: [] },
];
const failed: Told = { type: 'did-not-take', step: 'steering-zero', why: 'it says voltage low' };

function planned(told: readonly Told[], draft = false): Planned {
  const runner = new Runner([rules]);
  for (const one of told) runner.must(one);
  const sight = sightOf(runner.job, rules);
  const { file } = sight.sheet;
  const state = { ro: '4711', events: runner.events, version: 1, queue: [], hash: '', rulebook: '', alone: false };
  return {
    job: file,
    record: draft ? undefined : state,
    faults: [],
    facts: undefined,
    list: sight.checklist,
    sight,
    refused: [],
    numbers: new Map(sight.checklist.steps.map(({ id }, i) => [id, i + 1])),
    pending: false,
    planned: file,
  };
}

const cases: [says: string, told: Told[], kind: Standing['kind'], words: RegExp][] = [
  ['work that goes on', opened, 'goes', /^2 steps open\.$/],
  [
    'a step that runs is named',
    [...worked, aligned, { type: 'started', step: 'steering-zero' }],
    'goes',
    /^Running: 2 Steering angle zero\. 0 steps open\.$/,
  ],
  [
    'one that did not take, before what is out or waits',
    [...worked, aligned, failed],
    'goes',
    /^Did not take: 2 Steering angle zero\. 1 step open\.$/,
  ],
  [
    'tried too often it is held',
    [...worked, aligned, failed, failed, failed],
    'held',
    /^Stuck\. Steering angle zero: Read the brake controller for open codes\.$/,
  ],
  [
    'what is out of the house, where and since when',
    [...worked, { type: 'sent-out', step: 'alignment', firm: 'Axle and Son', on: '2026-03-02' }],
    'goes',
    /^Out of the house: Wheel alignment, at Axle and Son since 2026-03-02\. 1 step open\.$/,
  ],
  [
    'what waits for a part, and until when',
    [...worked, { type: 'waiting', step: 'alignment', part: 'rod end', promised: '2026-03-04' }],
    'goes',
    /^Waits for a part: rod end, promised 2026-03-04\. 1 step open\.$/,
  ],
  [
    'no step is open and a code has no reason',
    [
      ...opened,
      { type: 'scanned', when: 'before', codes: [] },
      ...finished.slice(opened.length),
      { type: 'scanned', when: 'after', codes: [{ code: 'P0123' }] },
    ],
    'goes',
    /^Still to do: .*P0123/,
  ],
  ['only the foreman is missing', finished, 'check', /^Final check\. \d items for the foreman\.$/],
];

describe('where a car stands', () => {
  test.each(cases)('%s', (_, told, kind, words) => {
    const standing = standingOf(planned(told), [], NOW);
    expect(standing.kind).toBe(kind);
    expect(`${standing.head} ${standing.rest}`.trim()).toMatch(words);
    expect(standing.who).toBe('Ana');
  });

  test('written up only, it says what is to come', () => {
    expect(standingOf(planned(opened, true), [], NOW)).toMatchObject({
      kind: 'written',
      rest: '2 steps to come.',
      who: '',
    });
  });

  test('with all checked it is ready', () => {
    const checks = ['alignment', 'steering-zero'].map(
      (item): Told => ({
        type: 'checked',
        by: 'Bo',
        item,
        value: { kind: 'number', value: item === 'alignment' ? 0.1 : 0.3 },
      }),
    );
    const last: Told[] = [
      { type: 'lamps', when: 'release', lit: [] },
      ...checks,
      { type: 'checked', by: 'Bo', item: 'nothing-left', value: { kind: 'choice', value: 'nothing left' } },
    ];
    const made = planned(finished);
    const nothing = made.sight?.checks.flat().at(-1)?.asked.choices[0] ?? '';
    const told = [
      ...finished,
      ...last.slice(0, -1),
      { ...last.at(-1), value: { kind: 'choice', value: nothing } } as Told,
    ];
    expect(standingOf(planned(told), [], NOW)).toMatchObject({ kind: 'ready', minutes: 0 });
  });

  test('whoever has the hands on it is named before who was last', () => {
    expect(standingOf(planned(worked), [{ step: 'alignment', person: 'Cem' }], NOW).who).toBe('Cem');
  });

  test('a promise is told, and that it is too early', () => {
    const promise = (time: string) => standingOf(planned([...worked, { type: 'promised', time }]), [], NOW).promised;
    expect(promise('2026-03-02T18:00:00Z')).toEqual({ time: Date.UTC(2026, 2, 2, 18), late: false });
    expect(promise('2026-03-02T11:00:00Z')).toMatchObject({ late: true });
    expect(standingOf(planned(worked), [], NOW).promised).toBeUndefined();
  });

  test('less is left the more took', () => {
    const [all, some] = [standingOf(planned(worked), [], NOW), standingOf(planned([...worked, aligned]), [], NOW)];
    expect(some.minutes).toBeLessThanOrEqual(all.minutes);
  });

  test('held first, then ready, then the foreman, then what can go soonest', () => {
    const at = (kind: Standing['kind'], minutes: number): Standing => ({ kind, minutes, head: '', rest: '', who: '' });
    const sorted = [at('goes', 5), at('written', 3), at('check', 0), at('ready', 0), at('held', 90)].sort(sooner);
    expect(sorted.map(({ kind }) => kind)).toEqual(['held', 'ready', 'check', 'written', 'goes']);
  });
});

describe("a step's row", () => {
  const says = (told: readonly Told[], step: string) => {
    const made = planned(told);
    return itemSays(
      made.sight?.items.find(({ id }) => id === step),
      made.numbers,
    );
  };
  test.each<[string, Told[], string, RegExp | undefined]>([
    ['nothing before anything was said', worked, 'alignment', undefined],
    ['who, and when it took', [...worked, aligned], 'alignment', /^Ana, \d\d:\d\d\.$/],
    ['that it is still to be closed', [...worked, aligned, zeroed], 'steering-zero', /Still to be closed\.$/],
    [
      'which try, why and who',
      [...worked, aligned, failed],
      'steering-zero',
      /^Try 1, it says voltage low, Ana, \d\d:\d\d\.$/,
    ],
    [
      'why it was not done',
      [...worked, { type: 'not-done', step: 'alignment', reason: 'no-tool', note: 'stand is broken' }],
      'alignment',
      /^No tool for it, stand is broken, Ana/,
    ],
    [
      'why it is to be done again',
      [...worked, aligned, { type: 'sent-back', by: 'Bo', step: 'alignment', because: 'toe looks wrong' }],
      'alignment',
      /^To be done again: sent back by Bo: toe looks wrong\.$/,
    ],
  ])('says %s', (_, told, step, words) => {
    if (words) expect(says(told, step)).toMatch(words);
    else expect(says(told, step)).toBeUndefined();
  });
});
