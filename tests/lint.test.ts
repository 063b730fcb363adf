import { describe, expect, test } from 'vitest';
import { EVERY_LINT } from '../src/job/lint.ts';
import { TooWide } from '../src/rulebook/lint/car.ts';
import { type Finding, type Lint, lint } from '../src/rulebook/lint/lint.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { conditions } from './lint-cases/conditions.ts';
import { names } from './lint-cases/names.ts';
import { orders } from './lint-cases/order.ts';
import { fromSources } from './lint-cases/sources.ts';
import { states } from './lint-cases/states.ts';
import { tellings } from './lint-cases/telling.ts';
import { aboutWords } from './lint-cases/words.ts';
import { filesOf, on, type Small } from './small-rulebook.ts';

const cases = [...names, ...fromSources, ...tellings, ...conditions, ...states, ...orders, ...aboutWords];

function filesWith(small: Small & { tables?: Readonly<Record<string, unknown>> }): Map<string, string> {
  const tables = Object.entries(small.tables ?? {}).map(([file, value]) => [file, JSON.stringify(value)] as const);
  return new Map([...filesOf(small), ...tables]);
}

function findings(small: Small, lints: readonly Lint[]): Finding[] {
  const files = filesWith(small);
  const { rulebook, faults } = loadRulebook(files);
  expect(faults).toEqual([]);
  return lint(rulebook, lints, files);
}

function called(id: string): Lint {
  const found = EVERY_LINT.find((one) => one.id === id);
  if (!found) throw new Error(`no lint is called ${id}`);
  return found;
}

describe('each lint', () => {
  test.each(cases)('$lint: $fault', ({ lint: id, small, finds }) => {
    const found = findings(small, [called(id)]);
    const told = found.map((f) =>
      [`${f.file}#${f.pointer}`, f.message, f.hint ?? '', f.nearest ?? '', JSON.stringify(f.value ?? '')].join(' | '),
    );
    expect(told).toHaveLength(finds.length);
    finds.forEach((words, i) => {
      for (const word of words) expect(told[i]).toContain(word);
    });
  });

  test.each(EVERY_LINT.map((one) => one.id))('%s has a rulebook that fails it and one that is clean', (id) => {
    const own = cases.filter((c) => c.lint === id);
    expect(own.some((c) => c.finds.length > 0)).toBe(true);
    expect(own.some((c) => c.finds.length === 0)).toBe(true);
  });

  test('has a name of its own, and says what it keeps in one sentence', () => {
    expect(new Set(EVERY_LINT.map((one) => one.id)).size).toBe(EVERY_LINT.length);
    for (const one of EVERY_LINT) expect(one.says).toMatch(/^[a-z"].*[^.]$/);
  });
});

describe('the runner', () => {
  const small: Small = {
    rules: { b: { triggers: [on('bolt replaced')] }, a: { triggers: [on('bolt replaced'), on('nut replaced')] } },
  };

  test('sorts by file, then place', () => {
    const places = findings(small, [called('sourced-trigger')]).map((f) => `${f.file}#${f.pointer}`);
    expect(places).toEqual(['test/a.json#/triggers/0', 'test/a.json#/triggers/1', 'test/b.json#/triggers/0']);
  });

  test('says the same whatever the order of files', () => {
    const files = [...filesWith(small)];
    const [forth, back] = [files, [...files].reverse()].map((f) =>
      lint(loadRulebook(new Map(f)).rulebook, EVERY_LINT, new Map(f)),
    );
    expect(back).toEqual(forth);
  });

  test.each([
    { pointer: '/triggers/1', left: ['/triggers/0'] },
    { pointer: undefined, left: [] },
  ])('lets pass what is excepted at $pointer, and nothing else', ({ pointer, left }) => {
    const exception = { file: 'test/a.json', ...(pointer ? { pointer } : {}), reason: 'a test', until: 'it ends' };
    const found = findings(small, [{ ...called('sourced-trigger'), exceptions: [exception] }]);
    expect(found.filter((f) => f.file === 'test/a.json').map((f) => f.pointer)).toEqual(left);
    expect(found.filter((f) => f.file === 'test/b.json')).toHaveLength(1);
  });

  test('tells of an exception that lets nothing pass any more, with its reason and end', () => {
    const stale = { file: 'test/a.json', pointer: '/triggers/7', reason: 'nobody had read it', until: 'somebody has' };
    const found = findings(small, [{ ...called('known-part'), exceptions: [stale] }]);
    expect(found).toMatchObject([{ file: 'test/a.json', pointer: '/triggers/7', severity: 'fault' }]);
    expect(found[0]?.hint).toBe('it was made because nobody had read it, until somebody has');
  });

  test('does not take giving up for a clean rulebook', () => {
    const wide: Lint = {
      ...called('known-part'),
      check: () => {
        throw new TooWide('more than enough');
      },
    };
    expect(findings(small, [wide])).toMatchObject([
      { severity: 'fault', message: '`known-part` gave up: more than enough' },
    ]);
  });

  test('hears which lint comes next', () => {
    const heard: string[] = [];
    const files = filesWith(small);
    lint(loadRulebook(files).rulebook, EVERY_LINT, files, (one, done) => heard.push(`${done} ${one.id}`));
    expect(heard).toEqual(EVERY_LINT.map((one, i) => `${i} ${one.id}`));
  });
});
