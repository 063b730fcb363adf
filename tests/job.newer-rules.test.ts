import { expect, test } from 'vitest';
import { underRules } from '../src/job/newer-rules.ts';
import { jobRules, RULES, rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';

const battery: readonly Told[] = [
  { type: 'opened' },
  { type: 'line-added', line: { part: 'battery', did: 'replaced' } },
  { type: 'trait-told', trait: 'management', answer: 'told' },
  { type: 'work-done' },
];
const PROVEN: Told = {
  type: 'took',
  step: 'battery-told',
  values: {
    'proof/battery-told/Voltage after': { kind: 'number', value: 12.6 },
    'proof/battery-told/Read back': { kind: 'choice', value: 'same' },
  },
};

function jobOf(told: readonly Told[], ...later: ReturnType<typeof jobRules>[]): Runner {
  const runner = new Runner([rules, ...later]);
  for (const one of told) runner.must(one);
  return runner;
}

test('the same rules make nothing other', () => {
  const { job } = jobOf([...battery, PROVEN]);
  const { faults, shown, comes, goes, turns, order, lost } = underRules(job, rules, rules);
  expect([faults, shown, comes, goes, turns, order.now, lost]).toEqual([[], [], [], [], [], [], []]);
});

test('what comes, goes and changes its level, its safety, its proof and its limits is told', () => {
  const { job } = jobOf(battery);
  const [call] = RULES['battery-told'].triggers;
  const then = jobRules({
    'window-learn': { title: 'Windows learned', triggers: [] },
    'battery-told': {
      ...RULES['battery-told'],
      safety: true,
      proof: [
        { label: 'Voltage after', answer: 'number', unit: 'V', limits: [{ min: 12.5 }] },
        { label: 'Read back', answer: 'choice', choices: ['same', 'other'] },
        { label: 'Code shown', answer: 'text' },
      ],
    },
    'after-scan': { ...RULES['after-scan'], triggers: [{ ...call }] },
    'clock-set': { title: 'Clock set', triggers: [{ ...call, level: 'recommended' }] },
  });
  const found = underRules(job, rules, then);
  expect(found.comes).toEqual([
    { id: 'clock-set', title: 'Clock set', safety: false, level: 'recommended', perhaps: false },
  ]);
  expect(found.goes.map(({ id }) => id)).toEqual(['window-learn']);
  expect(Object.fromEntries(found.turns.map(({ id, what }) => [id, what]))).toMatchObject({
    'battery-told': ['a safety item now', 'asks for Code shown', 'other limits for Voltage after'],
    'after-scan': expect.arrayContaining(['required, and not recommended any more']),
  });
  expect(found.shown).toEqual([
    { followUp: 'clock-set', from: 'excluded', to: 'needed' },
    { followUp: 'window-learn', from: 'needed', to: 'excluded' },
  ]);
  expect(found.lost).toEqual([]);
});

test('what somebody did or read and nobody would ask for any more is named', () => {
  const { job } = jobOf([...battery, PROVEN, { type: 'took', step: 'window-learn' }]);
  const then = jobRules({
    'window-learn': { title: 'Windows learned', triggers: [] },
    'battery-told': { ...RULES['battery-told'], proof: [{ label: 'Voltage after', answer: 'number', unit: 'V' }] },
  });
  expect(underRules(job, rules, then).lost.toSorted()).toEqual([
    'battery-told/proof/battery-told/Read back',
    'window-learn',
  ]);
});

test('a job that the other rules do not understand says why', () => {
  const { job } = jobOf([...battery, { type: 'line-added', line: { part: 'radio', did: 'refitted' } }]);
  const then = { ...jobRules(), parts: new Map([...rules.parts].filter(([id]) => id !== 'radio')), version: 'other' };
  expect(underRules(job, rules, then).faults.join()).toContain('radio');
});

test('and other rules are not taken before it was', () => {
  const then = jobRules({ 'window-learn': { title: 'Windows learned', triggers: [] } });
  const runner = jobOf([...battery, { type: 'took', step: 'window-learn' }], then);
  const { shown, lost } = underRules(runner.job, rules, then);
  expect(runner.tell({ type: 'rulebook-changed', shown })).toEqual([
    `With rulebook ${then.version} the sheet would ask no more for what is on record: window-learn; take the rules only once that was shown.`,
  ]);
  expect(runner.tell({ type: 'rulebook-changed', shown, lost })).toMatchObject([{ type: 'rulebook-changed', lost }]);
});
