import { describe, expect, test } from 'vitest';
import { factIds, factTexts, figuresByBasis, triggerTries, writtenOff } from './coverage.ts';

/** What `npm run bench -- coverage` prints must not fall back. */

describe('facts of the trade', () => {
  const told = new Set(Object.keys(factTexts()).map((name) => name.slice(0, 6)));
  const off = writtenOff();
  const ids = factIds();
  test.skipIf(!ids)('each is reproduced by a case named by its id, or written off with a reason', () => {
    expect(ids?.length).toBeGreaterThan(200);
    expect(ids?.filter((id) => !told.has(id) && !(id in off))).toEqual([]);
    expect(
      [...Object.keys(off), ...told].filter((id) => /^(CH|PT)-/.test(id) && !ids?.includes(id)),
      'no such fact',
    ).toEqual([]);
  });
  test('none is both, and every reason says something', () => {
    expect(Object.keys(off).filter((id) => told.has(id))).toEqual([]);
    expect(Object.entries(off).filter(([, reason]) => reason.length < 40)).toEqual([]);
  });
});

describe('triggers', () => {
  const tries = triggerTries();
  const name = (t: (typeof tries)[number]) => `${t.followUp} ${t.index}`;
  test('there are some hundred', () => expect(tries.length).toBeGreaterThan(300));
  test('each has a passing try on which it speaks', () => {
    expect(tries.filter((t) => !t.speaks).map(name)).toEqual([]);
  });
  test('each has a passing try on which it stays out', () => {
    expect(tries.filter((t) => !t.staysOut).map(name)).toEqual([]);
  });
  test('each that can rest on a question has a passing try on which it does', () => {
    expect(tries.filter((t) => t.open === false).map(name)).toEqual([]);
  });
});

test('no figure is without a stated basis, and most were read', () => {
  const { unstated, ...known } = figuresByBasis();
  expect(unstated).toBe(0);
  expect(known.read).toBeGreaterThan(known.memory + known['common-practice']);
});
